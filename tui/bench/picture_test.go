package bench

import (
	"maps"
	"slices"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"pullcard/patterns"
	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
	"pullcard/sequence/referee"
)

// The lines of the picture by what they say, level and upright.
const (
	tightLines = "─━│┃"
	slackLines = "╌╍╎╏"
	levelLines = "─━╌╍"
	strayLines = "┉┋┏┓┗┛┣┫┳┻╋━┃"
)

// pictureOf is the part of a screen on which the picture of the racket stands, as from the front where it shows the other side.
func pictureOf(m Model) (rows [][]rune) {
	lines, height := strings.Split(ansi.Strip(m.View()), "\n"), m.height
	if m.view.Mirror {
		lines, height = lines[1:], height-1
	}
	wide := m.tallPicture(height)
	if wide == 0 {
		var high int
		if wide, high = m.pictureSize(m.width, height-2); wide == 0 {
			return nil
		}
		lines = lines[1 : 1+high]
	}
	for _, line := range lines {
		row := []rune(line)[:wide]
		if m.view.Mirror {
			slices.Reverse(row)
			for i, r := range row {
				row[i] = mirrorImage(r)
			}
		}
		rows = append(rows, row)
	}
	const more = "⋮" // the bed is a row too high, and goes on there
	for _, beyond := range []int{0, len(rows) - 1} {
		if strings.Contains(string(rows[beyond]), more) {
			return slices.Insert(rows, beyond+beyond/max(beyond, 1), []rune(strings.Repeat(" ", wide)))
		}
	}
	return rows
}

// mirrorImage is a sign as a mirror shows it.
func mirrorImage(r rune) rune {
	const left, right = "╭╰┏┗┣▶▷", "╮╯┓┛┫◀◁"
	for _, pair := range [][2]string{{left, right}, {right, left}} {
		if i := slices.Index([]rune(pair[0]), r); i >= 0 {
			return []rune(pair[1])[i]
		}
	}
	return r
}

// bedCells are the cells where strands lie in a picture, read off one in which all of them do: the column of each main and the row
// of each cross, along which level and upright lines take turns.
type bedCells struct {
	frame         *patterns.Frame
	columns, rows []int
}

// readBed is nil where the picture shows less than the whole bed.
func readBed(m Model, f *patterns.Frame, p *plan.Plan) *bedCells {
	var err error
	for m.state = progress.Start(p); m.state.Status() == progress.Open && err == nil; {
		m.state, err = m.state.Apply(progress.Event{Kind: progress.Done, Step: m.state.Current()})
	}
	m.past.Events = []progress.Event{{Kind: progress.Done}}
	m.refresh()
	rows, out := pictureOf(m), &bedCells{frame: f}
	if rows == nil {
		return nil
	}
	for x := range rows[0] {
		if turns(len(rows), func(i int) rune { return rows[i][x] }) >= 7 {
			out.columns = append(out.columns, x)
		}
	}
	for y := range rows {
		if turns(len(out.columns), func(i int) rune { return rows[y][out.columns[i]] }) >= 7 {
			out.rows = append(out.rows, y)
		}
	}
	if len(out.columns) != len(f.Columns()) || len(out.rows) != len(f.Crosses) {
		return nil
	}
	return out
}

// turns counts how often level and upright lines follow on each other, whatever lies between.
func turns(n int, at func(i int) rune) (count int) {
	last, was := false, false
	for i := range n {
		if r := at(i); strings.ContainsRune(tightLines, r) {
			if level := strings.ContainsRune(levelLines, r); !was || level != last {
				last, was = level, true
				count++
			}
		}
	}
	return count - 1
}

// line is the way of a strand in the picture: across says whether it is a cross, at is its row or column, and first and last where
// it meets the outermost others.
type line struct {
	across          bool
	at, first, last int
}

func (b *bedCells) lines() map[plan.Strand]line {
	out := map[plan.Strand]line{}
	mains := b.frame.Columns()
	for j, c := range b.frame.Crosses {
		met := b.frame.Met(c)
		out[plan.Strand(c.String())] = line{true, b.rows[j], b.columns[met[0]-1], b.columns[met[len(met)-1]-1]}
		for _, column := range met {
			name := plan.Strand(mains[column-1].String())
			l, seen := out[name]
			if l.last = b.rows[j]; !seen {
				l.at, l.first = b.columns[column-1], b.rows[j]
			}
			out[name] = l
		}
	}
	return out
}

// drawn are the lines on which strands stand: two that lie in each other's holes, or one in those of a strand that does not lie, have each
// other's.
func (b *bedCells) drawn(p *plan.Plan, racket *plan.Racket) map[plan.Strand]line {
	own := b.lines()
	out := maps.Clone(own)
	home := func(name plan.Strand) [2]int {
		ends := p.Terms.Ends(name)
		return [2]int{racket.At(ends[0]), racket.At(ends[1])}
	}
	for a := range own {
		for c := range own {
			if a != c && racket.Laid(a) && racket.LiesAt(a) == home(c) && (!racket.Laid(c) || racket.LiesAt(c) == home(a)) {
				out[a], out[c] = own[c], own[a]
			}
		}
	}
	return out
}

// requireBed says what of the picture is not so, read off its cells: which strands lie, which of them are tight, how each crossing
// is woven, where ends are astray, and that the marks stand at the holes of the figures.
func requireBed(t interface{ Logf(string, ...any) }, m Model, n int, was, is *referee.View, b *bedCells) bool {
	racket := m.state.Plan().After(n)
	rows, s, lines, wrong := pictureOf(m), &m.state.Plan().Steps[n], b.drawn(m.state.Plan(), racket), false
	check := func(ok bool, format string, args ...any) {
		if !ok {
			wrong = true
			t.Logf(format, args...)
		}
	}
	pull := s.Pull()
	for name, l := range lines {
		own := ""
		for at := l.first; at <= l.last; at++ {
			x, y := at, l.at
			if !l.across {
				x, y = y, x
			}
			r := rows[y][x]
			if strings.ContainsRune(levelLines, r) == l.across {
				own += string(r)
			}
		}
		tight := was.Strands[name].Tight || pull != nil && pull.Strand == name
		laid := was.Strands[name].Laid || is.Strands[name].Laid
		check(strings.ContainsAny(own, tightLines) == (laid && tight), "%s is drawn %q, tight %v", name, own, tight)
		check(strings.ContainsAny(own, slackLines) == (laid && !tight), "%s is drawn %q, laid %v, tight %v", name, own, laid, tight)
	}
	lies := func(name plan.Strand) bool { return was.Strands[name].Laid || is.Strands[name].Laid }
	for _, c := range b.frame.Crosses {
		for _, column := range b.frame.Met(c) {
			if main := b.frame.Columns()[column-1]; lies(plan.Strand(c.String())) && lies(plan.Strand(main.String())) {
				x, along := lines[plan.Strand(main.String())].at, lines[plan.Strand(c.String())]
				if x < along.first || x > along.last {
					continue // the main lies beyond it by mistake
				}
				r := rows[along.at][x]
				check(strings.ContainsRune(tightLines+slackLines, r) && strings.ContainsRune(levelLines, r) == (patterns.Over(c.Number, slices.Index(b.columns, x)+1) != m.view.Mirror),
					"%s is drawn %q at %s", c, r, main)
			}
		}
	}
	stray := 0
	for name := range lines {
		for end, place := range racket.LiesAt(name) {
			if home := m.state.Plan().Terms.Ends(name)[end]; racket.Laid(name) && place != racket.At(home) {
				stray++
			}
		}
	}
	requireBlocked(check, m, n, was, b)
	check(stray > 0 || !strings.ContainsAny(text(rows), "┉┋"), "a strand is drawn astray")
	// A mark stands at the end of a strand: on its line, beyond all that it meets.
	stands := func(signs string, strand plan.Strand, hole plan.Hole) bool {
		for _, at := range b.ends(m.state.Plan(), racket, strand, hole) {
			for y := range rows {
				for x, r := range rows[y] {
					if strings.ContainsRune(signs, r) && at.holds(x, y, strings.ContainsAny(signs, "ABSabs")) {
						return true
					}
				}
			}
		}
		return false
	}
	hidden := func(hole plan.Hole) bool { // in the row that there is no room for
		return slices.ContainsFunc(b.ends(m.state.Plan(), racket, "", hole), func(at end) bool {
			beyond := rows[:at.first]
			if !at.low {
				beyond = rows[at.last+1:]
			}
			return !at.across && strings.TrimSpace(text(beyond)) == ""
		})
	}
	count := func(signs string) (found int) {
		for _, r := range text(rows) {
			if strings.ContainsRune(signs, r) {
				found++
			}
		}
		return found
	}
	switch lay := s.Lay(); {
	case pull != nil:
		other := racket.Other(pull.Strand, pull.Hole)
		check(count("▲▶▼◀") == 1 && stands("▲▶▼◀", pull.Strand, pull.Hole), "the pull of %s at %s is not marked", pull.Strand, pull.Hole)
		check(count("○") == 1 && stands("○", pull.Strand, other) || count("○") == 0 && hidden(other), "%s does not enter at %s", pull.Strand, other)
	case lay != nil:
		laid := 0
		for i := range s.Ops {
			if o := &s.Ops[i]; o.Op == plan.Thread || o.Op == plan.Weave {
				laid++
				check(stands("○", o.Strand, o.From), "%s does not enter at %s", o.Strand, o.From)
			}
		}
		check(count("▲▶▼◀") == 0 && count("○") == laid, "%d strands are laid", laid)
	}
	after := maps.Clone(is.Clamps)
	for c, g := range after { // where a hole was thought to be another no clamp moves
		after[c] = thought(s, g)
	}
	for _, c := range plan.Clamps() {
		now, stood := was.Clamps[c]
		then, stays := after[c]
		check(!stood && count(string(c)) == 0 || stood && count(string(c)) == 1 && stands(string(c), now.Strand, now.Hole) || stood && count(string(c)) == 0 && hidden(now.Hole), "%s is not at %v", c, now)
		moved := stays && (!stood || now != then)
		small := strings.ToLower(string(c))
		check(!moved && count(small) == 0 || moved && count(small) == 1 && stands(small, then.Strand, then.Hole) || moved && count(small) == 0 && hidden(then.Hole), "%s does not go to %v", c, then)
	}
	for _, c := range []plan.Clamp{plan.A, plan.B} { // S stands on the slack side of another one, which is further along
		at, behind := after[c], after[plan.S]
		if l := lines[at.Strand]; at.Strand == behind.Strand && at.Hole == behind.Hole && at.Strand != "" && !behind.Outside {
			low := racket.LiesAt(at.Strand)[0] == racket.At(at.Hole) // its own line, wherever that end is
			x, y := where(rows, l, "Ss")
			a, _ := where(rows, l, string(c)+strings.ToLower(string(c)))
			check(y == 0 && (a < 0 || low == (x > a)), "S is %d beside %s, at %d, where %s is at %d", y, at.Strand, x, c, a)
		}
	}
	return !wrong
}

// thought is where a clamp was thought to stand before a step that finds strands in wrong holes.
func thought(s *plan.Step, g plan.Grip) plan.Grip {
	for i := range slices.Backward(s.Ops) {
		if o := &s.Ops[i]; o.Fault == plan.FaultHole && g.Strand == o.Strand && g.Hole == o.Hole {
			g.Hole = o.From
		}
	}
	return g
}

// where finds a mark by how far along the line of a strand and how far beside it that is; less than nought along it where there is none.
func where(rows [][]rune, l line, signs string) (along, off int) {
	for y := range rows {
		for x, r := range rows[y] {
			if !strings.ContainsRune(signs, r) {
				continue
			}
			if !l.across {
				x, y = y, x
			}
			return x, y - l.at
		}
	}
	return -1, 0
}

func text(rows [][]rune) (out string) {
	for _, row := range rows {
		out += string(row)
	}
	return out
}

// end is the part of a strand's line beyond all that it meets at one of its ends.
type end struct {
	line
	low bool
}

// holds says whether a cell lies there, or a little beside it, where on the line of the holes a mark may have to stand; a clamp may
// also stand between the first few that the strand meets.
func (e end) holds(x, y int, clamp bool) bool {
	if !e.across {
		x, y = y, x
	}
	off, on := max(y-e.at, e.at-y), 0
	if clamp && off == 0 {
		on = 4
	}
	return off <= 2 && (e.low && x < e.first+on || !e.low && x > e.last-on)
}

// ends are where a mark of a strand in a hole may stand: at the strand's own end and, where that is astray, at those whose hole it is in.
func (b *bedCells) ends(p *plan.Plan, racket *plan.Racket, strand plan.Strand, hole plan.Hole) (out []end) {
	drawn, place := b.drawn(p, racket), racket.At(hole)
	for name, l := range b.lines() {
		for i, home := range p.Terms.Ends(name) {
			if racket.At(home) == place {
				out = append(out, end{l, i == 0})
			}
			if name == strand && racket.Laid(name) && racket.LiesAt(name)[i] == place {
				out = append(out, end{drawn[name], i == 0})
			}
		}
	}
	return slices.Clip(out)
}
