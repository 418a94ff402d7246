package draw

import (
	"context"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns"
	"pullcard/patterns/library"
	"pullcard/patterns/sweep"
	"pullcard/sequence/book"
	"pullcard/sequence/cases"
	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
	"pullcard/sequence/referee"
	"pullcard/sequence/shop"
)

// What a picture shows is what the referee, which shares nothing with it but the plan, knows of the racket: whatever frame,
// sheet and mishaps, on every step, also when it is read back from the book.
func TestPicturesAreTrue(t *testing.T) {
	ctx := context.Background()
	b, err := book.Open(ctx, filepath.Join(t.TempDir(), "book"))
	require.NoError(t, err)
	defer b.Close()
	looked, mishaps := 0, 0
	outer := t
	rapid.Check(t, sweep.Some(15, func(t *rapid.T) {
		f, p, err := tryBuild(outer, rapid.SampledFrom(library.Layouts()).Draw(t, "frame"), rapid.SampledFrom(library.Techniques()).Draw(t, "sheet"))
		if err != nil {
			t.Skip(err)
		}
		id, err := b.NewJob(ctx, book.Draft{At: time.Unix(0, 0), Plan: p})
		require.NoError(t, err)
		s, known := progress.Start(p), 0
		tell := func(e progress.Event) {
			require.NoError(t, b.Append(ctx, id, known, e))
			known++
			s, err = s.Apply(e)
			require.NoError(t, err)
		}
		for range rapid.IntRange(1, 3).Draw(t, "mishaps") {
			for range rapid.IntRange(1, 25).Draw(t, "done") {
				if s.Current() < s.Steps() {
					tell(progress.Event{Kind: progress.Done, Step: s.Current()})
					requireTrue(t, f, s)
					looked++
				}
			}
			a := told(t, s)
			next, err := shop.Mend(s.Plan(), s.Last(), a.Trouble)
			if a.Again || err != nil {
				continue // that there always is a way back is shown where it is made
			}
			mishaps++
			tell(progress.Event{Kind: progress.Mishap, Step: s.Current(), Plan: next})
			requireTrue(t, f, s)
			if next.Cracked() {
				break
			}
		}
		j, err := b.Job(ctx, id)
		require.NoError(t, err)
		back, err := progress.Fold(j.Plan, j.Events)
		require.NoError(t, err)
		require.Equal(t, At(s.Plan(), s.Last(), s.Current()), At(back.Plan(), back.Last(), back.Current()), "as it is read back")
	}))
	t.Logf("%d moments, %d mishaps", looked, mishaps)
}

// told answers questions at random until a case is known.
func told(t *rapid.T, s progress.State) cases.Answer {
	m := cases.At(s.Plan(), s.Last())
	q := m.Wrong()
	if slip := m.Slipped(); len(slip.Answers) > 0 && rapid.Bool().Draw(t, "slip") {
		q = slip
	}
	for {
		a := q.Answers[rapid.IntRange(0, len(q.Answers)-1).Draw(t, q.Ask)]
		if a.Next == nil {
			return a
		}
		q = a.Next()
	}
}

// requireTrue compares the picture with what the referee knows.
func requireTrue(t *rapid.T, f *patterns.Frame, s progress.State) {
	pic := At(s.Plan(), s.Last(), 0)
	table, breaches := referee.From(&s.Plan().Terms, s.Plan().Steps[:s.Last()])
	require.Empty(t, breaches)
	is := table.View(s.Plan().Steps[s.Last():])
	for _, list := range [][]span{pic.mains, pic.crosses} {
		for _, c := range list {
			want := absent
			if is.Strands[c.name].Laid {
				want = slack
			}
			if is.Strands[c.name].Tight {
				want = taut
			}
			require.Equal(t, want, c.state, "%s after step %d", c.name, s.Last())
		}
	}
	for _, x := range s.Plan().After(s.Last()).Spans() {
		if c := pic.span(x.Strand); x.Laid() {
			require.ElementsMatch(t, []int{pic.ring.at(x.In), pic.ring.at(x.Out)}, c.ends[:], "%s lies where it is, after step %d", x.Strand, s.Last())
		}
	}
	require.Equal(t, is.Clamps, pic.Grips)
	require.ElementsMatch(t, places(pic.ring, is.Blocked), places(pic.ring, pic.Blocked), "after step %d", s.Last())
	require.ElementsMatch(t, is.Deferred, pic.Deferred, "after step %d", s.Last())
	var covered []int
	for _, r := range pic.runs {
		for _, k := range pic.ring.between(r.from, r.to) {
			if !slices.Contains(covered, k) {
				covered = append(covered, k)
			}
		}
	}
	require.ElementsMatch(t, places(pic.ring, is.Covered), covered, "no run that the racket has not, after step %d", s.Last())
	for j, c := range f.Crosses {
		if pic.crosses[j].state == absent {
			continue
		}
		number := c.Number
		if _, n, _ := pic.crosses[j].name.Parts(); n != number { // two are swapped: it begins as in its own place, and goes on in turn
			own, here := f.Met(f.Crosses[n-1]), f.Met(c)
			in := s.Plan().After(s.Last()).Span(pic.crosses[j].name).In
			if in.Parts().Side == "R" {
				slices.Reverse(own)
				slices.Reverse(here)
			}
			number = n + own[0] - here[0]
		}
		for _, column := range f.Met(c) {
			if main := &pic.mains[column-1]; pic.crosses[j].over[column-1] == apart && (main.astray(0) || main.astray(1)) {
				continue // it stays in a hole from where it does not meet this one
			}
			want := under
			if patterns.Over(number, column) {
				want = over
			}
			require.Equal(t, want, pic.crosses[j].over[column-1], "%s at column %d", c, column)
		}
	}
}

func places(r ring, holes []plan.Hole) (out []int) {
	for _, h := range holes {
		out = append(out, r.at(h))
	}
	return out
}
