package sequence_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns"
	"pullcard/patterns/grid"
	"pullcard/sequence"
)

const bareJob = `frame = "club-sixteen"
technique = "two-piece-skip"
[tension]
mains = "24 kg"
crosses = "50 lb"
`

func job(t require.TestingT, more string) *sequence.Job {
	j, _, err := sequence.ReadJob("job.toml", []byte(bareJob+more))
	require.NoError(t, err)
	return j
}

// What was ordered is kept, what the machine is set to follows only when the job asks, and the gauge reads what the
// machine does.
func TestSetting(t *testing.T) {
	const gauge = "[machine]\nname = \"bench 2\"\ngauge = { set = \"24 kg\", read = \"23.4 kg\" }\n"
	for _, c := range []struct{ job, set, gauge string }{
		{"", "24 kg", "24 kg"},
		{gauge, "24 kg", "23.4 kg"},
		{gauge + "corrected = true\n", "24.6 kg", "24 kg"},
		{"[machine]\nkind = \"constant pull\"\ngauge = { set = \"53 lb\", read = \"54 lb\" }\n", "24 kg", "24.453592 kg"},
	} {
		s := job(t, c.job).Machine.Setting(kg(t, "24 kg"))
		assert.Equal(t, [3]string{"24 kg", c.set, c.gauge}, [3]string{s.Ordered.String(), s.Set.String(), s.Gauge.String()}, c.job)
	}
	// In the unit that was ordered: 0.6 kg are 1.322774 lb.
	s := job(t, gauge).Machine.Setting(kg(t, "50 lb"))
	assert.Equal(t, "48.677226 lb", s.Gauge.String())
	assert.Equal(t, "-0.6 kg", job(t, gauge).Machine.Offset().String())
}

// Common practice of the trade: a bar 10° off level pulls about 1.5 % low.
func TestSettingOfDropWeight(t *testing.T) {
	const bar = "[machine]\nkind = \"drop weight\"\nbar_degrees = 10\n"
	s := job(t, bar).Machine.Setting(kg(t, "24 kg"))
	assert.Equal(t, "24 kg", s.Set.String())
	assert.InDelta(t, 24*0.9848077530, s.Gauge.Value(), 1e-6)
	assert.InDelta(t, -1.5, s.Gauge.Over(s.Ordered), 0.05)
	s = job(t, bar+"corrected = true\ngauge = { set = \"24 kg\", read = \"24.5 kg\" }\n").Machine.Setting(kg(t, "24 kg"))
	assert.InDelta(t, 24/0.9848077530-0.5, s.Set.Value(), 2e-6)
	assert.InDelta(t, 24, s.Gauge.Value(), 2e-6)
	level := job(t, "[machine]\nkind = \"drop weight\"\nbar_degrees = 0\n").Machine
	assert.True(t, level.Exact())
}

func TestMachineCautions(t *testing.T) {
	say := func(more string) string {
		j := job(t, more)
		return strings.Join(j.Machine.Cautions(j.Mains, j.Crosses), "\n")
	}
	assert.Empty(t, say(""))
	assert.Empty(t, say("[machine]\nkind = \"constant pull\"\ngauge = { set = \"24 kg\", read = \"24 kg\" }\n"))
	assert.Equal(t, "bench 2 read 23.4 kg on the gauge when set to 24 kg (−2.5 %): it is set as ordered, nothing is corrected; for 24 kg it is set to 24 kg and the gauge should read 23.4 kg",
		say("[machine]\nname = \"bench 2\"\ngauge = { set = \"24 kg\", read = \"23.4 kg\" }\n"))
	assert.Contains(t, say("[machine]\ngauge = { set = \"24 kg\", read = \"23.4 kg\" }\ncorrected = true\n"), "as the job asks; for 24 kg it is set to 24.6 kg and the gauge should read 24 kg")
	assert.Contains(t, say("[machine]\ngauge = { set = \"20 kg\", read = \"20 kg\" }\n"), "read at 20 kg, this job pulls at 24 kg: read it at the working tension")
	assert.Contains(t, say("[machine]\nkind = \"lockout\"\n"), "5 to 10 % lower")
	assert.Contains(t, say("[machine]\nkind = \"drop weight\"\nbar_degrees = 10\n"), "the machine's bar rests 10° off level and pulls 1.5 % low")
}

func TestMachineAndSupplyProblems(t *testing.T) {
	for more, want := range map[string]string{
		"[machine]\nkind = \"crank\"":                                      `job.toml:7:8: machine.kind is "crank"; write "constant pull", "lockout" or "drop weight"`,
		"[machine]\ngauge = \"23.4 kg\"":                                   `job.toml:7:9: machine.gauge is not of the right kind; `,
		"[machine.gauge]\nset = \"24 kg\"":                                 `job.toml:6:10: machine.gauge.read is missing; write read = "23.4 kg"`,
		"[machine.gauge]\nread = \"24 kg\"":                                `machine.gauge.set is missing; write set = "24 kg"`,
		"[machine.gauge]\nset = \"24 kg\"\nread = \"24\"":                  `job.toml:8:8: machine.gauge.read: "24" has no unit; `,
		"[machine.gauge]\nset = \"24 kg\"\nread = \"53 N\"":                `job.toml:8:8: machine.gauge.read is 53 N where 24 kg was set; check number and unit`,
		"[machine.gauge]\nset = \"24 kg\"\nreed = \"24 kg\"":               `machine.gauge.reed is not known; did you mean "read"?`,
		"[machine]\nbar_degrees = 10":                                      `job.toml:7:15: machine.bar_degrees belongs to a drop weight; `,
		"[machine]\nkind = \"drop weight\"\nbar_degrees = 80":              `job.toml:8:15: machine.bar_degrees is 80; `,
		"[machine]\ncorrected = true":                                      `job.toml:7:13: machine.corrected = true has nothing to correct; `,
		"proportional = \"yes\"":                                           `job.toml:6:16: tension.proportional is not of the right kind; write true or false`,
		"[string.mains]\nlength = \"12\"":                                  `job.toml:7:10: length: "12" has no unit; `,
		"[string.mains]\nlength = \"12 mm\"":                               `job.toml:7:10: length is "12 mm"; a set is about 12 m`,
		"[string.mains]\nlength = \"12 m\"\nreel = \"200 m\"":              `job.toml:7:10: length is that of a set and stands beside a reel; `,
		"[string.mains]\nleft = \"12 m\"":                                  `job.toml:7:8: left is what is left on a reel; write reel = `,
		"[string.mains]\nreel = \"100 m\"\nleft = \"120 m\"":               `job.toml:8:8: left is 120 m, more than the reel's 100 m; `,
		"[string.mains]\nhalf = true":                                      `job.toml:7:8: half = true is half a set; `,
		"[string.crosses]\nlength = \"9 yd\"":                              `job.toml:7:10: length: "yd" is no unit of length; `,
		"[string.mains]\nreel = \"200 m\"\nleft = \"many\"\nlengt = \"1\"": `job.toml:9:1: string.mains.lengt is not known; did you mean "length"?`,
	} {
		_, _, err := sequence.ReadJob("job.toml", []byte(bareJob+more+"\n"))
		assert.ErrorContains(t, err, want, more)
	}
}

// What is cut comes off the set or reel that the job names; what is missing is told before anything is cut.
func TestTake(t *testing.T) {
	pieces := []grid.Piece{{Name: "mains", CutMM: 6100}, {Name: "crosses", CutMM: 5800}}
	left, err := job(t, "[string.mains]\nlength = \"12 m\"\n").Take(pieces)
	require.NoError(t, err)
	assert.Equal(t, []grid.Stock{{Name: "the set", MM: 100}}, left)
	left, err = job(t, "[string.mains]\nreel = \"200 m\"\nleft = \"37.5 m\"\n[string.crosses]\nlength = \"12 m\"\nhalf = true\n").Take(pieces)
	require.NoError(t, err)
	assert.Equal(t, []grid.Stock{{Name: "the reel", MM: 31400}, {Name: "half of the set", MM: 200}}, left)
	left, err = job(t, "[string.crosses]\nreel = \"200 m\"\n").Take(pieces)
	require.NoError(t, err)
	assert.Equal(t, []grid.Stock{{Name: "the reel", MM: 194200}}, left, "the mains' string is not told")
	left, err = job(t, "").Take(pieces)
	require.NoError(t, err)
	assert.Empty(t, left)

	_, err = job(t, "[string.mains]\nlength = \"11 m\"\n").Take(pieces)
	assert.EqualError(t, err, "job.toml:7:10: the set holds 11000 mm, the pieces take 11900 mm: 900 mm (2 ft 11 1/2 in) are missing; take a longer one")
	_, err = job(t, "[string.mains]\nlength = \"12 m\"\nhalf = true\n[string.crosses]\nreel = \"200 m\"\nleft = \"5 m\"\n").Take(pieces)
	assert.ErrorContains(t, err, "job.toml:7:10: half of the set holds 6000 mm, the pieces take 6100 mm: 100 mm")
	assert.ErrorContains(t, err, "\njob.toml:11:8: the reel holds 5000 mm, the pieces take 5800 mm: 800 mm")
	_, err = job(t, "[string.mains]\nlength = \"11 m\"\n").Take([]grid.Piece{{Name: "whole", CutMM: 11500}})
	assert.ErrorContains(t, err, "500 mm")
}

func TestAllowances(t *testing.T) {
	assert.Equal(t, grid.Usual(), technique(t, "name = \"t\"\n").Cut)
	house := technique(t, "name = \"t\"\n[cut]\nwall = \"10 mm\"\nmargin = \"0 mm\"\nknot = \"15 cm\"\ntape = \"1 mm\"\n").Cut
	assert.Equal(t, grid.Practice{WallMM: 10, ReachMM: 400, KnotMM: 150, WeaveMM: 0, TapeMM: 1}, house)
	// The wall passes are those of the sport, common practice of the trade, unless the house says otherwise.
	assert.Equal(t, map[patterns.Sport]float64{patterns.Tennis: 12, patterns.Badminton: 8, patterns.Squash: 10, patterns.Racquetball: 12}, technique(t, "name = \"t\"\n").Walls)
	walls := technique(t, "name = \"t\"\n[cut]\nwall = \"11 mm\"\n[cut.walls]\nbadminton = \"7 mm\"\n").Walls
	assert.Equal(t, map[patterns.Sport]float64{patterns.Tennis: 11, patterns.Badminton: 7, patterns.Squash: 11, patterns.Racquetball: 11}, walls)
	for text, want := range map[string]string{
		"[cut.walls]\nsquash = \"60 mm\"": "cut.walls.squash is \"60 mm\"; write ", "[cut.walls]\nchess = \"1 mm\"": "cut.walls.chess is not known; ",
		`wall = "12"`: `sheet.toml:3:8: cut.wall: "12" has no unit; `, `margin = "3 m"`: `sheet.toml:3:10: cut.margin is "3 m"; write "100 mm", `,
		`reach = "400 mm"`: "sheet.toml:3:1: cut.reach is not known; ",
	} {
		_, _, err := sequence.ReadTechnique("sheet.toml", []byte("name = \"t\"\n[cut]\n"+text+"\n"))
		assert.ErrorContains(t, err, want)
	}
}
