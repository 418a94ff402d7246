package settings

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/room"
	"pullcard/sequence/schedule"
	"pullcard/sequence/shop"
	"pullcard/tui/draw"
)

var themes = []string{"dark", "light"}

// The example says the usual values, and names every act.
func TestExampleIsUsual(t *testing.T) {
	s, err := Read("settings.toml", []byte(Example), themes)
	require.NoError(t, err)
	assert.Empty(t, s.Keys)
	s.Keys = nil
	assert.Equal(t, Usual(), s)
	for _, act := range Acts() {
		assert.Contains(t, Example, "\n"+act)
	}
}

func TestRead(t *testing.T) {
	s, err := Read("settings.toml", []byte(`hold = "250ms"
theme = "light"
turn = "head left"
other_side = true
far = true
recorder = "cat taps.wav"
print = "lp -d label"
columns = 32
gauge = "0.5 lb"
gauge_days = 2
[keys]
done = ["F13", "tab"]
back = ["x"]
`), themes)
	require.NoError(t, err)
	assert.Equal(t, Settings{Hold: 250 * time.Millisecond, Theme: "light", Far: true, Recorder: "cat taps.wav", Print: "lp -d label", Columns: 32, GaugeN: 0.5 * 4.4482216152605, GaugeDays: 2, Turn: draw.View{Turn: draw.HeadLeft, Mirror: true}, Room: room.UsualLimits(), Naming: shop.Initials,
		Keys: map[string][]string{"done": {"f13", "tab"}, "back": {"x"}}}, s)
}

func TestReadProblems(t *testing.T) {
	_, err := Read("s.toml", []byte(`hold = "9 s"
theme = "pink"
turn = "up"
recorder = " "
gauge = "3 kg"
gauge_days = 0
[keys]
done = ["q", "f21", "f13"]
back = ["f13"]
jump = ["x"]
`), themes)
	require.Error(t, err)
	for i, want := range []string{"s.toml:1:8: hold is", "s.toml:2:9: theme \"pink\" is not known", "s.toml:3:8: turn is", "s.toml:4:12: recorder is empty", "s.toml:5:9: gauge is", "s.toml:6:14: gauge_days is", "s.toml:8:9: keys.done: q always", "s.toml:8:14: keys.done: \"f21\" is no key",
		"s.toml:9:9: keys.back: f13 is set for done", "s.toml:10:1: keys.jump is not known"} {
		assert.True(t, strings.HasPrefix(strings.Split(err.Error(), "\n")[i], want), "%s\n%s", want, err)
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(Example))
	f.Fuzz(func(t *testing.T, data []byte) {
		s, err := Read("s", data, themes)
		if err == nil {
			assert.LessOrEqual(t, s.Hold, 5*time.Second)
		}
	})
}

// When the house is open: the usual day, other days, breaks; every slip is told.
func TestHours(t *testing.T) {
	s, err := Read("s.toml", []byte("[hours]\nopen = \"9:00 to 18:30\"\nsat = \"9:00-13:00\"\nsun = \"closed\"\nbreaks = [\"12:30 to 13:00\"]\n"), themes)
	require.NoError(t, err)
	h := func(hours, minutes int) time.Duration {
		return time.Duration(hours)*time.Hour + time.Duration(minutes)*time.Minute
	}
	assert.Equal(t, []schedule.Range{{From: h(12, 30), To: h(13, 0)}}, s.Hours.Breaks)
	assert.Len(t, s.Hours.Open, 6)
	assert.Equal(t, schedule.Range{From: h(9, 0), To: h(18, 30)}, s.Hours.Open[time.Friday])
	assert.Equal(t, schedule.Range{From: h(9, 0), To: h(13, 0)}, s.Hours.Open[time.Saturday])
	_, err = Read("s.toml", []byte("[hours]\nopen = \"nine to five\"\nmon = \"18:00 to 9:00\"\nbreaks = [\"12:00 to 25:00\"]\n"), themes)
	require.Error(t, err)
	for _, want := range []string{`s.toml:2:8: hours.open is "nine to five"; write it as "9:00 to 18:00"`, "hours.mon is", "hours.breaks is"} {
		assert.ErrorContains(t, err, want)
	}
	_, err = Read("s.toml", []byte("[hours]\nopen = \"9:00 to 10:00\"\n"+strings.Join([]string{"mon", "tue", "wed", "thu", "fri", "sat", "sun"}, " = \"closed\"\n")+" = \"closed\"\n"), themes)
	require.ErrorContains(t, err, "closed on every day")
}
