package bench

import (
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/assert"
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
		other bool
	}
	beds, frames := map[canvas]*bedCells{}, map[string]*patterns.Frame{}
	outer := t
	defer sweep.Drawn(5)()
	seen, pictured := 0, 0
	rapid.Check(t, sweep.Some(200, func(t *rapid.T) {
		key := [2]string{rapid.SampledFrom(library.Layouts()).Draw(t, "frame"), rapid.SampledFrom(sheets()).Draw(t, "sheet")}
		if _, built := plans[key]; !built {
			plans[key] = builtIn(t, key)
		}
		p := plans[key]
		if p == nil { // the frame cannot be strung so; by this sheet each can
			key[1] = "two-piece-clamp"
			p = builtIn(t, key)
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
		views, met := viewsOf(t, p), map[plan.OpKind]bool{}
		for n := range p.Steps {
			anew := slices.ContainsFunc(p.Steps[n].Ops, func(o plan.Op) bool { return !met[o.Op] })
			for _, o := range p.Steps[n].Ops {
				met[o.Op] = true
			}
			was, is := views[n], views[n+1]
			if anew || n >= from-2 && n < from+20 { // each kind of op once; the way back and what comes after it
				size := rapid.SampledFrom(sizes).Draw(t, "size")
				m = m.SetSize(size[0], size[1])
				both := []Model{m}
				if rapid.IntRange(0, 3).Draw(t, "other side") == 0 {
					other := m
					other.view.Mirror = true
					other.refresh()
					both = append(both, other)
				}
				for _, m := range both {
					screen := ansi.Strip(m.View())
					if !requireScreen(t, m, screen, n, views, known) {
						t.Fatalf("step %d at %v\n%s", n+1, size, screen)
					}
					at := canvas{key[0], size, m.view.Mirror}
					if _, read := beds[at]; !read {
						if frames[key[0]] == nil {
							frames[key[0]] = sequencetest.Layout(outer, key[0])
						}
						beds[at] = readBed(m, frames[key[0]], on)
					}
					if b := beds[at]; b != nil {
						if pictured++; !requireBed(t, m, n, was, is, b) {
							t.Fatalf("picture of step %d at %v\n%s", n+1, size, screen)
						}
					}
				}
				far := m
				far.far = true
				if screen := ansi.Strip(far.View()); far.isFar() && far.farCard(size[0]-2, size[1]-2) != nil && !requireFar(t, m, screen, n, was, afar) {
					t.Fatalf("step %d from afar at %v\n%s", n+1, size, screen)
				}
				seen++
			}
			if m.state, err = m.state.Apply(progress.Event{Kind: progress.Done, Step: n + 1}); err != nil || n+1 == len(p.Steps) {
				break
			}
			m.refresh()
		}
	}))
	t.Logf("%d screens, %d with a picture", seen, pictured)
	require.NotZero(t, pictured)
}

// requireScreen says what of a screen is not so; nothing of it is taken from the model but where the picture ends.
func requireScreen(t *rapid.T, m Model, screen string, n int, views []*referee.View, known []font) bool {
	wrong, was, is := false, views[n], views[n+1]
	check := func(ok bool, format string, args ...any) {
		if !ok {
			wrong = true
			t.Logf(format, args...)
		}
	}
	s := &m.state.Plan().Steps[n]
	side, high := func(f plan.Face) string { return string(f) }, m.height
	if m.view.Mirror {
		banner, rest, _ := strings.Cut(screen, "\n")
		check(strings.HasPrefix(banner, " OTHER SIDE"), "no banner of the other side")
		screen, high = rest, high-1
		side = func(f plan.Face) string { return map[plan.Face]string{plan.Over: "under", plan.Under: "over"}[f] }
	}
	from := m.tallPicture(high)
	pair := regexp.MustCompile(`(\d+)/(\d+)`).FindStringSubmatch(screen)
	check(pair != nil && pair[1] == strconv.Itoa(n+1) && pair[2] == strconv.Itoa(m.state.Steps()), "the count is %v", pair)
	body := strings.Split(screen, "\n")
	if from == 0 {
		from, _ = m.pictureSize(m.width, high-2)
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
	rows := map[int]bool{}
	for _, f := range figures {
		rows[f.row] = true
	}
	named := func(what string) { // beside the other figures in ordinary letters where there is room for two rows of them only
		check(slices.Contains(words, what) || len(rows) == 2 && strings.Contains(text, what), "no %q in figures %v", what, words)
	}
	for _, line := range body { // a name may be cut off at the top; three dots lead to what is deferred, and from a strand to another
		line = regexp.MustCompile(`[CM]\d+[LR]? …`).ReplaceAllString(strings.TrimSpace(string([]rune(line)[from:])), "")
		check(strings.HasSuffix(line, " min") || !regexp.MustCompile(`.…`).MatchString(line), "words are cut off: %q", line)
	}
	pulls, strand, cut := false, false, []string(nil)
	for i := range s.Ops {
		o := &s.Ops[i]
		strand = strand || o.Strand != "" && o.Op != plan.Fault && o.Op != plan.Waive
		switch o.Op {
		case plan.Pull:
			pulls = true
			number, _, _ := strings.Cut(o.Tension, " ")
			has("pull", string(o.Hole), number)
			named(string(o.Strand))
			check(strings.Contains(text, string(o.Strand)) && strings.Contains(text, " at "+string(o.Hole)+", "+o.Tension), "the pull is not told")
		case plan.Weave:
			if s.Pull() == nil {
				if len(words) < 3 && strings.Contains(text, "▶ LOOK") && slices.Contains(words, string(o.Strand)) {
					break // so much comes first that there is room for its name only, or its hole too
				}
				has("weave", string(o.From), strings.ToUpper(side(o.First)))
				named(string(o.Strand))
			}
			loop := loopAt(m.state.Plan(), n, o, was)
			check(loop == "" && !strings.Contains(text, "LEAVE LOOP") || loop != "" && strings.Contains(text, "LEAVE LOOP outside "+string(loop)), "a loop at %q", loop)
			check(strings.Contains(text, "from "+string(o.From)+" to "+string(o.To)+", "+side(o.First)+" first, "+strconv.Itoa(o.Meets)+" mains"), "the weave is not told")
		case plan.Tie:
			if s.Pull() == nil && s.Lay() == nil {
				has("tie", string(o.Strand), string(o.Hole))
				named("TIE")
			}
			check(strings.Contains(text, "in "+string(o.Hole)+" on "+string(o.Anchor)+": "+o.Knot), "the knot is not told")
		case plan.Cut:
			cut = append(cut, string(o.Strand))
		default:
			check(slices.Contains(byWords(), o.Op), "what of a %s is on the screen? say it in a case here and in requireFar", o.Op)
		}
	}
	if len(cut) > 0 { // the first of them in figures where there is no room for more; the list has them all
		at := slices.Index(words, "CUT")
		check(at < 0 && slices.Contains(words, cut[0]) || at >= 0 && len(words) > at+1 && slices.Equal(words[at+1:], cut[:len(words)-at-1]), "cut %v: figures %v", cut, words)
		check(strings.Contains(text, "CUT "+strings.Join(cut, ", ")), "not all that is cut is told: %v", cut)
	}
	for i := range s.Ops {
		if holes := plan.ScrapsOf(s.Ops[i].Text); !strand && len(holes) > 0 && !m.view.Mirror {
			has("scraps", "SCRAP")
			check(strings.Contains(text, "leave a scrap of string in "+plan.Holes(holes)), "not all scraps are told: %v", holes)
		}
	}
	check(len(figures) > 0 || !strand && m.view.Mirror, "no figures, strand %v", strand) // the banner of the other side may take the last row
	if tension := regexp.MustCompile(`[\d.]+ (kg|lb|N)\b`).FindString(regexp.MustCompile(`BOOST [\d.]+ kg|next .*`).ReplaceAllString(text, "")); !pulls && s.Phase != plan.PhaseMount {
		dial := slices.ContainsFunc(s.Ops, func(o plan.Op) bool { return o.Op == plan.Inspect && strings.Contains(o.Text, ", "+tension+",") }) // to set the machine to
		check(tension == "" || dial, "a tension where nothing is pulled: %q", tension)
	}
	stand := map[plan.Clamp]plan.Grip{}
	for c, g := range was.Clamps {
		for i := range s.Ops {
			if o := &s.Ops[i]; o.Fault == plan.FaultHole && g.Strand == o.Strand && g.Hole == o.From {
				g.Hole = o.Hole // the clamp was there all the time, it is the hole that was thought to be another
				break
			}
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
		if i := slices.IndexFunc(s.Ops, func(o plan.Op) bool {
			return o.Fault == plan.FaultHole && string(o.Strand) == move[3] && string(o.From) == move[4]
		}); i >= 0 { // which was found after that
			stand[c] = plan.Grip{Strand: stand[c].Strand, Hole: s.Ops[i].Hole}
		}
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
	if !s.Record && s.Phase != plan.PhaseMount { // of each clamp is said what becomes of it
		idle := strings.Join(regexp.MustCompile(`free ([ABS ]+)`).FindAllString(text, -1), " ")
		for _, c := range plan.Clamps() {
			_, stands := is.Clamps[c]
			moves := slices.ContainsFunc(s.Ops, func(o plan.Op) bool { return o.Clamp == c }) || strings.Contains(text, "clamp "+string(c)+" comes away")
			stays := strings.Contains(text, "stays "+string(c)+" ")
			check(moves || stays == stands && strings.Contains(idle, string(c)) == !stands, "%s, stands %v: said to stay %v, to be free %q", c, stands, stays, idle)
		}
	}
	for _, later := range regexp.MustCompile(`deferred: (\w+) at (\w+)`).FindAllStringSubmatch(text, -1) {
		check(slices.ContainsFunc(was.Deferred, func(d plan.Deferral) bool { return string(d.Strand) == later[1] && string(d.Hole) == later[2] }), "%s is not deferred", later[1])
	}
	requireSlack(check, text, n, views)
	requireScraps(check, m, text, s, was, is)
	return !wrong
}

// viewsOf is what the referee knows when so many steps of a plan are done.
func viewsOf(t *rapid.T, p *plan.Plan) []*referee.View {
	table, _ := referee.New(&p.Terms)
	views := []*referee.View{table.View(p.Steps)}
	for n := range p.Steps {
		require.Empty(t, table.Step(&p.Steps[n]))
		views = append(views, table.View(p.Steps[n+1:]))
	}
	return views
}

// requireSlack demands that what was tight and is slack is told, with the step by which none of it is slack any more.
func requireSlack(check func(bool, string, ...any), text string, n int, views []*referee.View) {
	var slack []string
	for name, c := range views[n].Strands {
		if c.Loose {
			slack = append(slack, string(name))
		}
		was := n // so far as the steps before show it
		for was >= 0 && views[was].Strands[name].Laid && !views[was].Strands[name].Tight {
			was--
		}
		if !c.Tight && was >= 0 && views[was].Strands[name].Tight {
			check(c.Loose, "%s was tight after step %d", name, was)
		}
	}
	said := regexp.MustCompile(`! slack(?: until step (\d+))?: ((?:\w+, )*\w+)(?: to (\w+))?(?: and (\d+) others)?`).FindStringSubmatch(text)
	if len(slack) == 0 || said == nil {
		check(len(slack) == 0 && said == nil, "slack %v is told as %q", slack, said)
		return
	}
	names := strings.Split(said[2], ", ")
	for _, name := range names {
		check(slices.Contains(slack, name), "%s is told to be slack", name)
	}
	if said[3] != "" { // and all crosses between
		from, _ := strconv.Atoi(names[0][1:])
		to, _ := strconv.Atoi(said[3][1:])
		for n := from + 1; n <= to; n++ {
			names = append(names, "C"+strconv.Itoa(n))
			check(slices.Contains(slack, names[len(names)-1]), "%s is told to be slack", names[len(names)-1])
		}
	}
	others, _ := strconv.Atoi(said[4])
	check(len(names)+others == len(slack), "of %v %q is told", slack, said[0])
	until := ""
	for k := n + 1; k < len(views) && until == ""; k++ {
		if !slices.ContainsFunc(slack, func(name string) bool {
			c := views[k].Strands[plan.Strand(name)]
			return c.Laid && !c.Tight
		}) {
			until = strconv.Itoa(k)
		}
	}
	check(said[1] == until, "slack until step %q is told as %q", until, said[0])
}

// loopAt is the hole outside which a loop is left before a strand is woven, as the one that it follows on is slack and is pulled there
// next; empty for none.
func loopAt(p *plan.Plan, n int, o *plan.Op, was *referee.View) (at plan.Hole) {
	for i := range p.Steps[n].Ops { // or a clamp goes on string outside that what is woven would draw tight
		if on := &p.Steps[n].Ops[i]; on.Op == plan.ClampOn && on.Outside && on.Strand == o.After {
			return on.Hole
		}
	}
	after := was.Strands[o.After]
	if !after.Laid || after.Tight {
		return ""
	}
	for i := range n {
		for _, x := range p.Steps[i].Ops {
			if (x.Op == plan.Weave || x.Op == plan.Thread) && x.Strand == o.After {
				at = x.To
			}
		}
	}
	for i := n; i < len(p.Steps); i++ {
		if pull := p.Steps[i].Pull(); pull != nil && (pull.Strand == o.After || pull.Also == o.After) {
			if doubled := at.Parts().Side != o.From.Parts().Side; pull.Strand == o.After && pull.Hole == at && !doubled {
				return at
			}
			return ""
		}
	}
	return ""
}

// sharedHoles are those of the holes of a strand that is laid in which another one lies.
func sharedHoles(t *plan.Terms, o *plan.Op, was *referee.View) (out []plan.Hole) {
	for _, c := range slices.Concat(t.Mains, t.Crosses) {
		for _, h := range c.Ends {
			if (h == o.From || h == o.To) && c.Strand != o.Strand && was.Strands[c.Strand].Laid && !was.Strands[c.Strand].Wrong {
				out = append(out, h)
			}
		}
	}
	return out
}

// requireFar says what of a screen in the far view is not so: whose figures are read, largest first, or where they had no room its
// words.
func requireFar(t *rapid.T, m Model, screen string, n int, was *referee.View, fonts []font) bool {
	lines := strings.Split(screen, "\n")
	figures, text, torn := readCard(strings.Join(lines[1:len(lines)-1], "\n"), 0, fonts)
	wrong := torn > 0
	for i, f := range figures {
		for _, g := range figures[:i] {
			if f.row < g.row+g.rows+1 && g.row < f.row+f.rows+1 && f.col < g.col+g.cols+1 && g.col < f.col+f.cols+1 {
				t.Logf("%q touches %q", g.text, f.text)
				wrong = true
			}
		}
	}
	for i, line := range lines[1:] { // hands that are written small among the figures
		for _, at := range regexp.MustCompile(`(?:^ |  )(STRAIGHTEN|LOOK|TRIM|EASE) *$`).FindAllStringSubmatchIndex(line, -1) {
			figures = append(figures, figure{text: line[at[2]:at[3]], row: i})
		}
	}
	slices.SortStableFunc(figures, func(f, g figure) int { return f.row - g.row })
	var words []string
	for _, f := range figures {
		words = append(words, f.text)
	}
	said := strings.Join(words, " ")
	alike := slices.Clone(figures) // one message: what is looked at, or all that is cut
	if ops := m.state.Plan().Steps[n].Ops; slices.ContainsFunc(ops, func(o plan.Op) bool { return o.Op != plan.Inspect && o.Op != plan.Note || o.Strand != "" }) {
		alike = slices.DeleteFunc(alike, func(f figure) bool {
			return !slices.ContainsFunc(strings.Fields(f.text), func(w string) bool {
				return slices.ContainsFunc(ops, func(o plan.Op) bool { return o.Op == plan.Cut && string(o.Strand) == w })
			})
		})
	}
	for _, f := range alike {
		if f.text == "SCRAP" { // that is another one
			break
		}
		if f.rows != alike[0].rows && f.rows > 0 && alike[0].rows > 0 {
			t.Logf("%q and %q are of two sizes", alike[0].text, f.text)
			wrong = true
		}
	}
	place := regexp.MustCompile(` (BEHIND [AB]|OUTSIDE)`) // of a clamp that goes on
	has := func(want ...string) {
		for _, w := range want {
			if !strings.Contains(" "+said+" ", " "+w+" ") {
				t.Logf("no %q in figures %v", w, words)
				wrong = true
			}
		}
	}
	either := func(large bool, words string) { // in ordinary letters where figures have no room
		if !large && !strings.Contains(text, words) {
			t.Logf("no %q in figures %v", words, said)
			wrong = true
		}
	}
	var hands []string // in the right column of two they stand one below the other
	for _, w := range strings.Fields(place.ReplaceAllString(strings.ReplaceAll(said, "LOOK FIRST", ""), "")) {
		if slices.Contains([]string{"A", "B", "S", "ON", "OFF", "EASE", "STRAIGHTEN", "TRIM"}, w) {
			hands = append(hands, w)
		}
	}
	s := &m.state.Plan().Steps[n]
	var order []string
	ordered := false
	for i := range s.Ops {
		o := &s.Ops[i]
		switch o.Op {
		case plan.Pull:
			ordered = true
			number, _, _ := strings.Cut(o.Tension, " ")
			has(string(o.Strand), string(o.Hole), number)
			if o.Repull && !strings.Contains(said, "TAKE LOAD") {
				has("RE-PULL")
			}
			if o.BoostPercent > 0 {
				has("BOOST")
			}
		case plan.Weave:
			if s.Pull() == nil {
				ordered = true
				has(string(o.Strand), string(o.From), strings.ToUpper(string(o.First)))
				if loop := loopAt(m.state.Plan(), n, o, was); loop != "" {
					has("LOOP AT " + string(loop))
				}
				awl := sharedHoles(&m.state.Plan().Terms, o, was)
				for _, h := range awl {
					either(regexp.MustCompile(`AWL BESIDE [\w ]*\b`+string(h)).MatchString(said), string(h))
				}
			}
		case plan.Thread:
			if s.Pull() == nil && len(s.Ops) > 1 {
				ordered = true
				has("FEED", string(o.Strand), "IN")
				check := regexp.MustCompile(` IN ` + strings.TrimRight(string(o.From), "LR") + `[LR]? `)
				if !check.MatchString(" " + said + " ") {
					t.Logf("%s does not go in at %s: %v", o.Strand, o.From, words)
					wrong = true
				}
			}
		case plan.Tie:
			if s.Pull() == nil && s.Lay() == nil {
				ordered = i == 0 && o.Out != "" && s.Ops[len(s.Ops)-1].Op == plan.Trim && len(s.Ops) > 2
				has("TIE", string(o.Strand), string(o.Hole), string(o.Anchor))
			}
		case plan.ClampOn:
			order = append(order, string(o.Clamp)+" ON")
			if slices.Contains(was.Marked, plan.Spot{Strand: o.Strand, Hole: o.Hole}) {
				either(strings.Contains(said, "BESIDE THE MARK"), "BESIDE THE MARK")
			}
		case plan.Note:
			if strings.HasPrefix(o.Text, "hard weave") {
				either(strings.Contains(said, "FAN THE STRING"), "hard weave")
			}
			if strings.HasPrefix(o.Text, "butt-cap mark") { // by which left and right are known
				has("BUTT-CAP")
			}
		case plan.Unclamp:
			order = append(order, string(o.Clamp)+" OFF")
		case plan.Release:
			order = append(order, "EASE")
		case plan.Straighten:
			order = append(order, "STRAIGHTEN")
		case plan.Trim:
			order = append(order, "TRIM")
		default:
			if !slices.Contains(byWords(), o.Op) && o.Op != plan.Cut {
				t.Logf("what of a %s is read from afar? say it in a case here", o.Op)
				wrong = true
			}
		}
	}
	told := regexp.MustCompile(`( ON)( [MC]\d+[LR]?)?( \d+[HT][LR]?)?( OUTSIDE| BEHIND [AB])?`).ReplaceAllString(regexp.MustCompile(`LOOK [\w ]+ · `).ReplaceAllString(text, ""), "$1")
	if ordered && !strings.Contains(strings.Join(hands, " "), strings.Join(order, " ")) && !strings.Contains(told, strings.Join(order, " · ")) {
		t.Logf("%v is told neither in %q nor in %q", order, said, text)
		wrong = true
	}
	return !wrong
}

// sheets are those that are drawn: one that asks for an op that the built-in ones do not ask for stands beside them.
func sheets() []string { return append(library.Techniques(), sequencetest.Flying) }

// Each kind of op is on some screen that is drawn, so that what is read off the screen of it can fail; those of ways back come with mishaps.
func TestEveryOpIsDrawn(t *testing.T) {
	source, err := os.ReadFile("../../sequence/plan/op.go")
	require.NoError(t, err)
	missing := map[plan.OpKind]bool{}
	for _, kind := range regexp.MustCompile(`OpKind = "(\w+)"`).FindAllStringSubmatch(string(source), -1) {
		missing[plan.OpKind(kind[1])] = true
	}
	require.Greater(t, len(missing), 20)
	for _, back := range []plan.OpKind{plan.Fault, plan.Slacken, plan.Unthread, plan.Unweave, plan.Untie, plan.Cut, plan.Move, plan.WalkSlack, plan.Waive} {
		delete(missing, back)
	}
	for _, sheet := range sheets() {
		if p := builtIn(t, [2]string{"club-sixteen", sheet}); p != nil {
			for _, s := range p.Steps {
				for _, o := range s.Ops {
					delete(missing, o.Op)
				}
			}
		}
	}
	assert.Empty(t, missing, "no sheet that is drawn has these; one that asks for them belongs into sheets")
}

// byWords are the kinds of op of which nothing is read off by name: clamps are by where they stand, the others by the words that the
// tables of act have for them.
func byWords() []plan.OpKind {
	return []plan.OpKind{plan.Mount, plan.Dismount, plan.Thread, plan.ClampOn, plan.Unclamp, plan.Release, plan.Trim, plan.Straighten, plan.Inspect,
		plan.Note, plan.Fault, plan.Slacken, plan.Unthread, plan.Unweave, plan.Untie, plan.Move, plan.WalkSlack, plan.Waive}
}

func builtIn(t require.TestingT, key [2]string) *plan.Plan {
	w, _ := sequencetest.Try(t, key[0], key[1], "[tension]\nmains = \"24 kg\"\n")
	return w.Plan
}

// Where a look has so many words that its heading leaves no room, the scrap that is to be left stands large all the same, and the heading is cut to its verb.
func TestAScrapStaysLargeBesideALongLook(t *testing.T) {
	w, err := sequencetest.Try(t, "feather-twentyone", "name = \"t\"\n", "[tension]\nmains = \"24 kg\"\n")
	require.NoError(t, err)
	p, err := shop.MendAll(w.Plan, []string{"2 hole-split hole=2HL choose=sleeve", "77 string-broke strand=C13 where=bed"})
	require.NoError(t, err)
	m, err := New(Job{Plan: p, Recorder: &shelf{}}, Settings{Now: func() time.Time { return time.Unix(0, 0) }, Theme: golden.Plain(t)})
	require.NoError(t, err)
	m = m.SetSize(80, 24)
	for n := range p.Steps {
		if strings.HasPrefix(p.Steps[n].Title, "Take the pieces") {
			screen := ansi.Strip(m.View())
			from, _ := m.pictureSize(m.width, m.height-2)
			figures, _, _ := readCard(screen, from, near())
			var words []string
			for _, f := range figures {
				words = append(words, f.text)
			}
			assert.Subset(t, words, []string{"PIECES", "OUT", "SCRAP"}, "and not to take the scrap")
			assert.Contains(t, screen, "! leave a scrap of string in")
			return
		}
		m.state, err = m.state.Apply(progress.Event{Kind: progress.Done, Step: n + 1})
		require.NoError(t, err)
		m.refresh()
	}
	t.Fatal("no pieces are taken out")
}
