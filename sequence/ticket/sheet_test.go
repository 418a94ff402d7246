package ticket

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns/drawing"
	"pullcard/patterns/grid"
	"pullcard/patterns/sweep"
	"pullcard/sequence/progress"
)

func TestSVGGoldens(t *testing.T) {
	tk := made(t, plain(t))
	golden(t, "plain_label.svg", tk.SVG(Label))
	golden(t, "plain_card.svg", tk.SVG(Card))
}

func TestStepsGolden(t *testing.T) {
	f := plain(t)
	face := newTypeface(1)
	golden(t, "steps_page_1.svg", stepSheets(f.Plan, nil, face, newSpeller(lostGlyph, face.has))[0].SVG())
}

// anything is a name from a file: letters of any script, marks, control and escape sequences, XML, endless words.
func anything() *rapid.Generator[string] {
	return rapid.OneOf(rapid.String(), rapid.StringN(0, 400, -1), rapid.SampledFrom([]string{
		"\x1b[2J\x1b]0;x\a", "</text><script>alert(1)</script>", "]]>&#x1b;<!--", "\u202eesrever\u2028", "\xff\xfe\x00", "松田 🎾", "e\u0301\u0301\u0301",
		strings.Repeat("W", 300), strings.Repeat("WWWW ", 60), "(\\) Tj ET", strings.Repeat("\u0301", 200),
	}))
}

// odd is a ticket of which every word that can come from people is anything, and of which much went wrong.
func odd(r *rapid.T, f Facts) *Ticket {
	say := func(what string) string { return anything().Draw(r, what) }
	f.Player, f.Racket, f.Stringer, f.Machine.Name, f.Mains.Name = say("player"), say("racket"), say("stringer"), say("machine"), say("string")
	f.Reading = &Reading{Value: 571, Unit: say("unit")}
	named := *f.Plan
	named.Frame, named.Technique = say("frame"), say("technique")
	f.Plan, f.Notes = &named, true
	events := slices.Clone(f.Events[:9])
	for range rapid.IntRange(0, 30).Draw(r, "notes") {
		events = append(events, progress.Event{Kind: progress.Redo, Step: 10, Why: say("why")})
	}
	f.Events = append(events, f.Events[9:]...)
	tk, err := New(f)
	require.NoError(r, err)
	return tk
}

// inside requires that every mark of a sheet lies on it, and that no text has a control character or runs into the
// margin, which the card's edge names may.
func inside(r require.TestingT, s *drawing.Sheet, face *typeface, margin float64) {
	on := func(p grid.Point, m float64) bool { return p.X >= m && p.X <= s.W-m && p.Y >= m && p.Y <= s.H-m+6 } // the foot stands in the margin
	for _, m := range s.Marks {
		switch m := m.(type) {
		case drawing.Words:
			w := face.width(m.Text, m.Size/drawing.Point, m.Bold)
			from := m.At
			switch m.Anchor {
			case drawing.End:
				from.X -= w
			case drawing.Middle:
				from.X -= w / 2
			}
			require.True(r, on(from, margin-.01) && on(grid.Point{X: from.X + w, Y: from.Y}, margin-.01), "%q from %v, %.1f mm wide", m.Text, from, w)
			for _, c := range m.Text {
				require.False(r, unicode.IsControl(c) || unicode.Is(unicode.Bidi_Control, c), "%q", m.Text)
			}
		case drawing.Dot:
			require.True(r, on(m.At, m.Radius), "%v", m)
		case drawing.Stroke:
			for _, p := range m.Points {
				require.True(r, on(p, 0), "%v", p)
			}
		}
	}
}

// Whatever names and notes hold, nothing leaves the page.
func TestEverySheetFits(t *testing.T) {
	sweep.Only(t)
	facts := plain(t)
	rapid.Check(t, sweep.Some(8, func(r *rapid.T) {
		tk := odd(r, facts)
		for _, f := range []struct {
			form   Form
			margin float64
		}{{Label, labelMargin}, {Card, cardMargin}} {
			face := newTypeface(1)
			s := newSpeller(lostGlyph, face.has)
			inside(r, tk.sheet(f.form, face, s), face, f.margin)
			wide := newTypeface(widest)
			inside(r, tk.sheet(f.form, wide, nil), wide, f.margin)
		}
		face := newTypeface(1)
		for _, s := range stepSheets(tk.Plan, nil, face, newSpeller(lostGlyph, face.has)) {
			inside(r, s, face, stepsMargin)
		}
	}))
}

// An SVG is well-formed, and its text is text only.
func TestEverySVGIsXML(t *testing.T) {
	facts := plain(t)
	rapid.Check(t, sweep.Some(8, func(r *rapid.T) {
		tk := odd(r, facts)
		for _, form := range []Form{Label, Card} {
			svg := tk.SVG(form)
			for d := xml.NewDecoder(strings.NewReader(svg)); ; {
				token, err := d.Token()
				if errors.Is(err, io.EOF) {
					break
				}
				require.NoError(r, err)
				if e, ok := token.(xml.StartElement); ok {
					require.Contains(r, []string{"svg", "title", "rect", "text", "polyline", "polygon", "circle"}, e.Name.Local)
				}
			}
			for _, c := range svg {
				require.True(r, c == '\n' || !unicode.IsControl(c), "%q", c)
			}
		}
	}))
}

// The technique card has every step in its order with every op, each on one page.
func TestStepsCardIsComplete(t *testing.T) {
	_, p := planned(t, "quarry-eighteen", "two-piece-knot", "12 kg", "12 kg")
	face := newTypeface(1)
	sheets := stepSheets(p, nil, face, newSpeller(lostGlyph, face.has))
	var got []string
	for _, s := range sheets {
		for _, m := range s.Marks {
			if w, ok := m.(drawing.Words); ok {
				got = append(got, w.Text)
			}
		}
	}
	all := strings.Join(got, " ")
	w := newWording(p, nil)
	for i := range p.Steps {
		s := &p.Steps[i]
		want := []string{fmt.Sprint(s.N), s.Title}
		for _, line := range w.step(s) {
			want = append(want, line.text)
		}
		at := strings.Index(all, strings.Join(want, " "))
		require.GreaterOrEqual(t, at, 0, "step %d is not there, or not in one piece: %q", s.N, want)
		all = all[at:]
	}
	assert.Equal(t, fmt.Sprintf("%d of %d", len(sheets), len(sheets)), got[len(got)-1])
}

// poppler runs one of poppler's tools.
func poppler(t *testing.T, tool string, args ...string) string {
	t.Helper()
	if _, err := exec.LookPath(tool); err != nil {
		t.Skipf("SKIPPED: the PDF is not read back, for %s is not there; install poppler-utils", tool)
	}
	out, err := exec.Command(tool, args...).CombinedOutput()
	require.NoError(t, err, "%s", out)
	return string(out)
}

func written(t *testing.T, write func(io.Writer) error) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, write(&b))
	path := filepath.Join(t.TempDir(), "print.pdf")
	require.NoError(t, os.WriteFile(path, b.Bytes(), 0o600))
	return path
}

// Another program reads the PDF back: its size, its pages, its words, letters of three alphabets among them.
func TestPDFReadBack(t *testing.T) {
	f := plain(t)
	f.Player, f.Racket = "Żółć Ёлкин Παπαδόπουλος", "\x1b[31m松"
	tk := made(t, f)
	for form, size := range map[Form]string{Card: "297.64 x 419.53 pts", Label: "175.75 x "} { // 105 mm × 148 mm; 62 mm
		path := written(t, func(w io.Writer) error { return tk.PDF(w, form) })
		info := poppler(t, "pdfinfo", "-isodates", path)
		assert.Regexp(t, `Pages: +1\n`, info)
		assert.Contains(t, info, size, form)
		for _, date := range []string{"CreationDate", "ModDate"} {
			assert.Regexp(t, date+`: +2031-05-04T`, info, "the job's date, not today's")
		}
		text := poppler(t, "pdftotext", "-layout", path, "-")
		for _, want := range []string{"Żółć Ёлкин", "Παπαδόπουλος", "<U+001B>[31m□", "24 kg", "23 kg", "26.4 kg (+10 %): M8R, M8L", f.Plan.Plan, "571 Hz",
			"□ stands for a character"} {
			assert.Contains(t, text, want)
		}
		assert.NotContains(t, text, "\x1b")
	}
	steps := written(t, func(w io.Writer) error { return StepsPDF(w, f.Plan, nil, began()) })
	info := poppler(t, "pdfinfo", steps)
	assert.Regexp(t, `Pages: +5\n`, info)
	assert.Contains(t, info, "419.53 x 595.28 pts") // 148 mm × 210 mm
	text := strings.Join(strings.Fields(poppler(t, "pdftotext", steps, "-")), " ")
	assert.Contains(t, text, "pull C19 at 7TR with 25.3 kg, boosted by 10 %")
	assert.NotContains(t, text, "Ada", "a card for the wall names no player")
}

func TestSpell(t *testing.T) {
	p := newPlain()
	for in, want := range map[string]string{
		"Ada Example": "Ada Example", "Żółć": "Zolc", "Straße, Ærø": "Strasse, Aero", "Ёлкин": "Elkin", "Щука": "Shchuka", "Παπαδόπουλος": "Papadopoylos",
		"16 × 19 – “½” …": "16 x 19 - \"1/2\" ...", "ﬁt": "fit", "e\u0301": "e", "a\u200db": "ab",
	} {
		assert.Equal(t, want, p.spell(in))
		assert.False(t, p.missed, in)
	}
	assert.Equal(t, "?? ?", p.spell("松田 \ufffd"))
	assert.True(t, p.missed)
}

func TestSafe(t *testing.T) {
	assert.Equal(t, "a<U+001B>[31m b<U+202E>c", safe("a\x1b[31m\u00a0b\u202ec "))
	assert.Equal(t, "\ufffd", safe("\xff"))
	assert.Equal(t, longest+1, len([]rune(safe(strings.Repeat("é", 1000)))))
}

func BenchmarkCardPDF(b *testing.B) {
	tk := made(b, plain(b))
	for b.Loop() {
		require.NoError(b, tk.PDF(io.Discard, Card))
	}
}

func BenchmarkStepsPDF(b *testing.B) {
	_, p := planned(b, "club-sixteen", "two-piece-skip", "24 kg", "23 kg")
	for b.Loop() {
		require.NoError(b, StepsPDF(io.Discard, p, nil, began()))
	}
}
