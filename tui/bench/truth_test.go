package bench

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns"
	"pullcard/patterns/library"
	"pullcard/patterns/sweep"
	"pullcard/sequence/cases"
	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
	"pullcard/sequence/referee"
	"pullcard/sequence/sequencetest"
	"pullcard/sequence/shop"
	"pullcard/tui/internal/golden"
)

// What stands in the cells of the screen is what the plan's ops ask and the referee knows, on every step of whatever plan, with
// ways back in it, at every size: strand, holes, verb and tension in figures, where clamps go and stay, how a cross is woven, what
// is deferred. Figures stand on every card with a strand, whole, and no two touch.
func TestScreensAreTrue(t *testing.T) {
	plans, known, afar := map[[2]string]*plan.Plan{}, near(), far()
	set := Settings{Now: func() time.Time { return time.Unix(0, 0) }, Theme: golden.Plain(t)}
	type canvas struct {
		frame string
		size  [2]int
	}
	beds, frames := map[canvas]*bedCells{}, map[string]*patterns.Frame{}
	outer := t
	defer sweep.Drawn(5)()
	seen, pictured := 0, 0
	rapid.Check(t, sweep.Some(100, func(t *rapid.T) {
		key := [2]string{rapid.SampledFrom(library.Layouts()).Draw(t, "frame"), rapid.SampledFrom(append(library.Techniques(), sequencetest.Flying)).Draw(t, "sheet")}
		if _, built := plans[key]; !built {
			plans[key] = builtIn(t, key)
		}
		p := plans[key]
		if p == nil {
			t.Skip("the frame cannot be strung so")
		}
		on, from := p, 0
		for range rapid.IntRange(0, 2).Draw(t, "mishaps") {
			done := rapid.IntRange(1, len(p.Steps)-1).Draw(t, "done")
			q := cases.At(p, done).Wrong()
			a := q.Answers[0]
			for {
				if a = q.Answers[rapid.IntRange(0, len(q.Answers)-1).Draw(t, q.Ask)]; a.Next == nil {
					break
				}
				q = a.Next()
			}
			if next, err := shop.Mend(p, done, a.Trouble); err == nil && !next.Cracked() {
				p, from = next, done
			}
		}
		m, err := New(Job{Plan: p, Recorder: &shelf{}}, set)
		require.NoError(t, err)
		table, _ := referee.New(&p.Terms)
		was := table.View(p.Steps)
		for n := range p.Steps {
			require.Empty(t, table.Step(&p.Steps[n]))
			is := table.View(p.Steps[n+1:])
			if n >= from-2 && n < from+30 { // the way back and what comes after it
				size := rapid.SampledFrom(sizes).Draw(t, "size")
				m = m.SetSize(size[0], size[1])
				if screen := ansi.Strip(m.View()); !requireScreen(t, m, screen, n, was, is, known) {
					t.Fatalf("step %d at %v\n%s", n+1, size, screen)
				}
				at := canvas{key[0], size}
				if _, read := beds[at]; !read {
					if frames[key[0]] == nil {
						frames[key[0]] = sequencetest.Layout(outer, key[0])
					}
					beds[at] = readBed(m, frames[key[0]], on)
				}
				if b := beds[at]; b != nil {
					if pictured++; !requireBed(t, m, n, was, is, b) {
						t.Fatalf("picture of step %d at %v\n%s", n+1, size, ansi.Strip(m.View()))
					}
				}
				far := m
				far.far = true
				if screen := ansi.Strip(far.View()); far.isFar() && far.farCard(size[0]-2, size[1]-2) != nil && !requireFar(t, m, screen, n, afar) {
					t.Fatalf("step %d from afar at %v\n%s", n+1, size, screen)
				}
				seen++
			}
			if m.state, err = m.state.Apply(progress.Event{Kind: progress.Done, Step: n + 1}); err != nil || n+1 == len(p.Steps) {
				break
			}
			m.refresh()
			was = is
		}
	}))
	t.Logf("%d screens, %d with a picture", seen, pictured)
}

// requireScreen says what of a screen is not so; nothing of it is taken from the model but where the picture ends.
func requireScreen(t *rapid.T, m Model, screen string, n int, was, is *referee.View, known []font) bool {
	wrong := false
	check := func(ok bool, format string, args ...any) {
		if !ok {
			wrong = true
			t.Logf(format, args...)
		}
	}
	s := &m.state.Plan().Steps[n]
	from := m.tallPicture(m.height)
	pair := regexp.MustCompile(`(\d+)/(\d+)`).FindStringSubmatch(screen)
	check(pair != nil && pair[1] == strconv.Itoa(n+1) && pair[2] == strconv.Itoa(m.state.Steps()), "the count is %v", pair)
	body := strings.Split(screen, "\n")
	if from == 0 {
		from, _ = m.pictureSize(m.width, m.height-2)
		body = body[1 : len(body)-1]
	}
	figures, text, torn := readCard(strings.Join(body, "\n"), from, known)
	check(torn == 0, "%d cells of figures are torn", torn)
	var words []string
	for i, f := range figures {
		words = append(words, f.text)
		for _, g := range figures[:i] {
			check(g.row == f.row && g.rows == f.rows || f.row > g.row+g.rows || g.row > f.row+f.rows, "%q touches %q", g.text, f.text)
		}
	}
	has := func(what string, list ...string) {
		for _, w := range list {
			check(slices.Contains(words, w), "%s: no %q in figures %v", what, w, words)
		}
	}
	pulls, strand, cut := false, false, []string(nil)
	for i := range s.Ops {
		o := &s.Ops[i]
		strand = strand || o.Strand != "" && o.Op != plan.Fault && o.Op != plan.Waive
		switch o.Op {
		case plan.Pull:
			pulls = true
			number, _, _ := strings.Cut(o.Tension, " ")
			has("pull", string(o.Strand), number)
			check(strings.Contains(text, string(o.Strand)) && strings.Contains(text, " at "+string(o.Hole)+", "+o.Tension), "the pull is not told")
		case plan.Weave:
			if s.Pull() == nil {
				has("weave", string(o.Strand), strings.ToUpper(string(o.First)))
			}
			check(strings.Contains(text, "from "+string(o.From)+" to "+string(o.To)+", "+string(o.First)+" first, "+strconv.Itoa(o.Meets)+" mains"), "the weave is not told")
		case plan.Tie:
			if s.Pull() == nil && s.Lay() == nil {
				has("tie", string(o.Strand), "TIE")
			}
			check(strings.Contains(text, "in "+string(o.Hole)+" on "+string(o.Anchor)+": "+o.Knot), "the knot is not told")
		case plan.Cut:
			cut = append(cut, string(o.Strand))
		}
	}
	if len(cut) > 0 { // the first of them in figures where there is no room for more; the list has them all
		at := slices.Index(words, "CUT")
		check(at < 0 && slices.Contains(words, cut[0]) || at >= 0 && len(words) > at+1 && slices.Equal(words[at+1:], cut[:len(words)-at-1]), "cut %v: figures %v", cut, words)
		check(strings.Contains(text, "CUT "+strings.Join(cut, ", ")), "not all that is cut is told: %v", cut)
	}
	check(!strand || len(figures) > 0, "no figures on a card with a strand")
	if tension := regexp.MustCompile(`[\d.]+ (kg|lb|N)\b`).FindString(regexp.MustCompile(`BOOST [\d.]+ kg|next .*`).ReplaceAllString(text, "")); !pulls && s.Phase != plan.PhaseMount {
		check(tension == "", "a tension where nothing is pulled: %q", tension)
	}
	stand := map[plan.Clamp]plan.Grip{}
	for c, g := range was.Clamps {
		if o := s.Mishap(); o != nil && o.Fault == plan.FaultHole && g.Strand == o.Strand && g.Hole == o.From {
			g.Hole = o.Hole // the clamp was there all the time, it is the hole that was thought to be another
		}
		stand[c] = g
	}
	for _, move := range regexp.MustCompile(`CLAMP (ON|OFF) ([ABS]) (?:on|from) (\w+) at (\w+)`).FindAllStringSubmatch(text, -1) {
		c := plan.Clamp(move[2])
		if g := stand[c]; move[1] == "OFF" {
			check(string(g.Strand) == move[3] && string(g.Hole) == move[4], "%s is taken off %v", c, g)
			delete(stand, c)
			continue
		}
		stand[c] = plan.Grip{Strand: plan.Strand(move[3]), Hole: plan.Hole(move[4])}
	}
	for _, away := range regexp.MustCompile(`clamp ([ABS]) comes away with it`).FindAllStringSubmatch(text, -1) {
		delete(stand, plan.Clamp(away[1]))
	}
	check(len(stand) == len(is.Clamps), "clamps would stand %v, not %v", stand, is.Clamps)
	for c, g := range is.Clamps {
		check(stand[c].Strand == g.Strand && stand[c].Hole == g.Hole, "%s would stand at %v, not at %v", c, stand[c], g)
	}
	for _, stay := range regexp.MustCompile(`stays ([ABS]) (\w+)(?: and \w+)? at (\w+)`).FindAllStringSubmatch(text, -1) {
		g := is.Clamps[plan.Clamp(stay[1])]
		check(string(g.Strand) == stay[2] && string(g.Hole) == stay[3], "%s does not stay at %s", stay[1], stay[2])
	}
	for _, later := range regexp.MustCompile(`deferred: (\w+) at (\w+)`).FindAllStringSubmatch(text, -1) {
		check(slices.ContainsFunc(was.Deferred, func(d plan.Deferral) bool { return string(d.Strand) == later[1] && string(d.Hole) == later[2] }), "%s is not deferred", later[1])
	}
	return !wrong
}

// requireFar says what of a screen in the far view is not so: whose figures are read, largest first, or where they had no room its
// words.
func requireFar(t *rapid.T, m Model, screen string, n int, fonts []font) bool {
	lines := strings.Split(screen, "\n")
	figures, text, torn := readCard(strings.Join(lines[1:len(lines)-1], "\n"), 0, fonts)
	var words []string
	for _, f := range figures {
		words = append(words, f.text)
	}
	said := strings.Join(words, " ")
	wrong := torn > 0
	has := func(want ...string) {
		for _, w := range want {
			if !strings.Contains(" "+said+" ", " "+w+" ") {
				t.Logf("no %q in figures %v", w, words)
				wrong = true
			}
		}
	}
	var hands []string // in the right column of two they stand one below the other
	for _, w := range words {
		if slices.Contains([]string{"A", "B", "S", "ON", "OFF", "EASE", "STRAIGHTEN"}, w) {
			hands = append(hands, w)
		}
	}
	s := &m.state.Plan().Steps[n]
	var order []string
	pulled := false
	for i := range s.Ops {
		o := &s.Ops[i]
		switch o.Op {
		case plan.Pull:
			pulled = true
			number, _, _ := strings.Cut(o.Tension, " ")
			has(string(o.Strand), string(o.Hole), number)
			if o.Repull {
				has("RE-PULL")
			}
		case plan.Weave:
			if s.Pull() == nil {
				has(string(o.Strand), string(o.From), strings.ToUpper(string(o.First)))
			}
		case plan.ClampOn:
			order = append(order, string(o.Clamp)+" ON")
		case plan.Unclamp:
			order = append(order, string(o.Clamp)+" OFF")
		case plan.Release:
			order = append(order, "EASE")
		case plan.Straighten:
			order = append(order, "STRAIGHTEN")
		}
	}
	if pulled && !strings.Contains(strings.Join(hands, " "), strings.Join(order, " ")) && !strings.Contains(text, strings.Join(order, " · ")) {
		t.Logf("%v is told neither in %q nor in %q", order, said, text)
		wrong = true
	}
	return !wrong
}

func builtIn(t require.TestingT, key [2]string) *plan.Plan {
	w, _ := sequencetest.Try(t, key[0], key[1], "[tension]\nmains = \"24 kg\"\n")
	return w.Plan
}
