package lot

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/require"

	"pullcard/patterns"
	"pullcard/patterns/measure"
	"pullcard/sequence/shop"
	"pullcard/sequence/verdict"
	"pullcard/tui/internal/golden"
	"pullcard/tui/screen"
)

// All players, rackets, strings and verdicts of these tests are invented.

var update = flag.Bool("update", false, "write the golden files anew")

func tension(t testing.TB, text string) measure.Tension {
	out, err := measure.ParseTension(text)
	require.NoError(t, err)
	return out
}

// past is a racket that was strung on a day at "24 kg" or "24 kg/23 kg" and judged on the days after.
func past(t testing.TB, day int, tensions string, said ...string) verdict.Past {
	mains, crosses, split := strings.Cut(tensions, "/")
	if !split {
		crosses = mains
	}
	on := func(day int) time.Time { return time.Date(2031, 3, day, 12, 0, 0, 0, time.UTC) }
	p := verdict.Past{Job: int64(day), Mains: tension(t, mains), Crosses: tension(t, crosses), At: on(day)}
	for i, text := range said {
		a, err := verdict.Parse(text)
		require.NoError(t, err)
		p.Verdicts = append(p.Verdicts, verdict.Verdict{At: on(day + i + 1), Answer: a})
	}
	return p
}

// suggest makes the suggestion as the program does, from rackets of one set-up on an invented bed.
func suggest(t testing.TB, list ...verdict.Past) verdict.Suggestion {
	bed := func(mains, crosses measure.Tension) (float64, float64, error) {
		return (mains.Newtons() + crosses.Newtons()) / 14, mains.Newtons() + 360, nil
	}
	s := verdict.Suggest(list, verdict.Question{Sport: patterns.Tennis, Bed: bed})
	for _, of := range []struct {
		what string
		at   measure.Tension
	}{{"mains", s.Mains}, {"crosses", s.Crosses}} { // as the shop has the plan say it
		if least := tension(t, "24 kg"); of.at.Value() > 0 && of.at.Newtons() < least.Newtons() {
			s.Lines = append(s.Lines, verdict.Line{Kind: verdict.Warning, Text: fmt.Sprintf("%s at %s lie below the frame's printed range, 24 kg to 28 kg", of.what, of.at)})
		}
	}
	return s
}

// sheet is a lot of which the first racket went out.
func sheet(s verdict.Suggestion) shop.LotSheet {
	out := shop.LotSheet{Title: "Ada Example (invented), six for the summer", Waiting: 4, Sport: patterns.Tennis, Suggestion: s,
		Judgeable: []shop.LotChoice{{UID: "job-1", Name: "blue dot"}}}
	for i, name := range []string{"blue dot", "red dot", "green tape", "white tape", "two dots", "no mark"} {
		r := shop.LotRacket{Name: name, State: "waits"}
		switch i {
		case 0:
			r.State = "strung 24 kg"
			if s.Outcome != verdict.Unjudged {
				r.State, r.Said = "strung "+pair(s.Judged.Mains, s.Judged.Crosses), s.Verdict.Answer.String()
			}
		case 1:
			r.State = "in work"
		}
		out.Rackets = append(out.Rackets, r)
	}
	return out
}

func moved(t testing.TB) shop.LotSheet {
	return sheet(suggest(t, past(t, 1, "24 kg", "too tight, a bit")))
}

// notYet is a lot without a verdict.
func notYet(t testing.TB) shop.LotSheet {
	s := sheet(suggest(t))
	s.None = "nobody has said yet how a racket of this set-up plays; string one, let it go out, and keep the verdict"
	return s
}

// memory is a book that answers with its next sheet.
type memory struct {
	next  shop.LotSheet
	asked []string
	fail  error // what the next question answers with
}

func (b *memory) answer(words ...string) (shop.LotSheet, error) {
	b.asked = append(b.asked, strings.Join(words, "|"))
	err := b.fail
	if b.fail = nil; err != nil {
		return shop.LotSheet{}, err
	}
	return b.next, nil
}

func (b *memory) Judge(_ context.Context, uid, answer, words string) (shop.LotSheet, error) {
	return b.answer("judge", uid, answer, words)
}

func (b *memory) Print(_ context.Context, uids ...string) error {
	b.asked = append(b.asked, "print|"+strings.Join(uids, "|"))
	return nil
}

func (b *memory) Decide(_ context.Context, mains, crosses measure.Tension, reason string) (shop.LotSheet, error) {
	return b.answer("decide", mains.String(), crosses.String(), reason)
}

var errFull = errors.New("the disk is full")

// rig is the screen and somebody who types, a key at a time; the book answers at once.
type rig struct {
	t    testing.TB
	book *memory
	m    Model
	left bool
}

func newRig(t testing.TB, s shop.LotSheet) *rig { return rigWith(t, s, false) }

func rigWith(t testing.TB, s shop.LotSheet, ascii bool) *rig {
	b := &memory{next: s}
	return &rig{t: t, book: b, m: New(s, b, golden.Plain(t), ascii).SetSize(80, 24)}
}

func (r *rig) press(keys ...string) *rig {
	for _, k := range keys {
		var cmd tea.Cmd
		r.m, cmd = r.m.Update(golden.Key(k))
		for cmd != nil {
			answer := cmd()
			if _, r.left = answer.(screen.LeaveMsg); r.left {
				break
			}
			r.m, cmd = r.m.Update(answer)
		}
	}
	return r
}

// write types a text a letter at a time.
func (r *rig) write(text string) *rig { return r.press(strings.Split(text, "")...) }

func (r *rig) size(width, height int) *rig {
	r.m = r.m.SetSize(width, height)
	return r
}

func (r *rig) screen() string { return ansi.Strip(r.m.View()) }

func (r *rig) shows(texts ...string) *rig {
	r.t.Helper()
	golden.Shows(r.t, r.screen(), texts...)
	return r
}

func (r *rig) hides(texts ...string) *rig {
	r.t.Helper()
	golden.Hides(r.t, r.screen(), texts...)
	return r
}

// asked requires the last question to the book, nothing for none.
func (r *rig) asked(want ...string) *rig {
	r.t.Helper()
	if len(want) == 0 {
		require.Empty(r.t, r.book.asked)
		return r
	}
	require.NotEmpty(r.t, r.book.asked)
	require.Equal(r.t, strings.Join(want, "|"), r.book.asked[len(r.book.asked)-1])
	return r
}
