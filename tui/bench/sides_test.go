package bench

import (
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
	"pullcard/sequence"
	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
	"pullcard/sequence/referee"
	"pullcard/sequence/sequencetest"
	"pullcard/sequence/shop"
	"pullcard/tui/internal/golden"
)

// From both sides of the racket the cells of the picture are true, a hole under a run through which string is still to come is marked, and the
// card says which holes get a scrap and where one is followed: on every step of some plans, a way back among them.
func TestBothSidesAreTrue(t *testing.T) {
	sweep.Only(t)
	frame, wrong, marked, scraps := sequencetest.Layout(t, "club-sixteen"), false, 0, 0
	check := func(ok bool, format string, args ...any) {
		if !ok {
			wrong = true
			t.Logf(format, args...)
		}
	}
	for _, sheet := range []string{"two-piece-skip", "two-piece-throat", "one-piece-around"} {
		p := sequencetest.Of(t, "club-sixteen", sheet, sequencetest.Tension).Plan
		on := p
		if sheet == "two-piece-skip" {
			var err error
			p, err = shop.Mend(p, 34, sequence.Trouble{Fault: plan.FaultBreak, Strand: "M5L", Where: plan.InBed})
			require.NoError(t, err)
		}
		for _, size := range [][2]int{{80, 24}, {120, 40}} {
			table, _ := referee.New(&p.Terms)
			m, err := New(Job{Plan: p, Recorder: &shelf{}}, Settings{Now: func() time.Time { return time.Unix(0, 0) }, Theme: golden.Plain(t)})
			require.NoError(t, err)
			var beds [2]*bedCells
			was := table.View(p.Steps)
			for n := range p.Steps {
				require.Empty(t, table.Step(&p.Steps[n]))
				is := table.View(p.Steps[n+1:])
				for i := range beds {
					side := m
					side.view.Mirror = i == 1
					side = side.SetSize(size[0], size[1])
					side.refresh()
					if beds[i] == nil {
						beds[i] = readBed(side, frame, on)
						require.NotNil(t, beds[i])
					}
					screen := ansi.Strip(side.View())
					_, said, _ := readCard(screen, len(pictureOf(side)[0]), near())
					check(requireBed(t, side, n, was, is, beds[i]), "the picture")
					marked += requireBlocked(check, side, n, was, beds[i])
					scraps += requireScraps(check, side, said, &p.Steps[n], was, is)
					require.False(t, wrong, "step %d at %v, other side %v\n%s", n+1, size, side.view.Mirror, screen)
				}
				if m.state, err = m.state.Apply(progress.Event{Kind: progress.Done, Step: n + 1}); err != nil || n+1 == len(p.Steps) {
					break
				}
				m.refresh()
				was = is
			}
		}
	}
	require.Positive(t, marked)
	require.Positive(t, scraps)
}

// requireBlocked demands that the marks of blocked holes stand at such holes, and says how many there are.
func requireBlocked(check func(bool, string, ...any), m Model, n int, was *referee.View, b *bedCells) (marks int) {
	p := m.state.Plan()
	rows, racket := pictureOf(m), p.After(n)
	for y := range rows {
		for x, r := range rows[y] {
			if r == '×' {
				marks++
			}
			check(r != '×' || slices.ContainsFunc(was.Blocked, func(h plan.Hole) bool {
				return slices.ContainsFunc(b.ends(p, racket, "", h), func(at end) bool { return at.holds(x, y, false) })
			}), "no blocked hole is at column %d, row %d", x, y)
		}
	}
	wrong := func(s plan.Strand, place int) bool { // it lies there, where it does not belong
		ends := p.Terms.Ends(s)
		return racket.At(ends[0]) != place && racket.At(ends[1]) != place
	}
	for _, h := range was.Blocked { // another mark may take its place, and what lies in a wrong hole covers that
		if place := racket.At(h); slices.ContainsFunc(racket.Through(place), func(s plan.Strand) bool { return wrong(s, place) }) {
			continue
		}
		check(slices.ContainsFunc(b.ends(p, racket, "", h), func(at end) bool {
			for y := range rows {
				for x, r := range rows[y] {
					if strings.ContainsRune("×○■□▲▶▼◀△▷▽◁ABSabs", r) && at.holds(x, y, false) {
						return true
					}
				}
			}
			return false
		}), "%s, which is blocked, is not marked", h)
	}
	return marks
}

// requireScraps demands that a hole which a run of the step covers gets a scrap where string is still to come through it, and none that is not
// covered; and that what goes through such a hole is told to follow its scrap. It says how many it found.
func requireScraps(check func(bool, string, ...any), m Model, text string, s *plan.Step, was, is *referee.View) int {
	racket := plan.NewRacket(&m.state.Plan().Terms)
	among := func(h plan.Hole, list []plan.Hole) bool {
		return slices.ContainsFunc(list, func(x plan.Hole) bool { return racket.At(x) == racket.At(h) })
	}
	holes := func(pattern string) (out []plan.Hole) {
		for _, said := range regexp.MustCompile(pattern).FindAllStringSubmatch(text, -1) {
			for _, h := range regexp.MustCompile(`\d+[HT][LR]`).FindAllString(said[1], -1) {
				out = append(out, plan.Hole(h))
			}
		}
		return out
	}
	left := holes(`leave a scrap of string in ((?:\w+(?:, | and )?)+?) before`)
	none := holes(`no scrap is in ((?:\w+(?:, | and )?)+)`)
	for _, h := range left {
		check(among(h, is.Covered) && !among(h, was.Covered), "a scrap is left in %s, which is not covered", h)
	}
	for _, h := range is.Blocked {
		if s.Record { // what lies in a wrong hole covers another
			break
		}
		check(among(h, was.Covered) || among(h, left), "%s is covered without a scrap", h)
	}
	followed := holes(`(\w+) under a run: (?:pull|follow)`)
	for _, h := range followed {
		check(among(h, was.Blocked) || among(h, is.Covered), "%s is told to be under a run", h)
	}
	for i := range s.Ops {
		if o := &s.Ops[i]; o.Op == plan.Thread || o.Op == plan.Weave {
			for _, h := range []plan.Hole{o.From, o.To} {
				check(!among(h, was.Blocked) || among(h, followed) || among(h, none), "%s goes through %s under a run, and nothing is said of it", o.Strand, h)
			}
		}
	}
	return len(left) + len(followed)
}
