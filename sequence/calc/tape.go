package calc

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"pullcard/patterns/assume"
	"pullcard/patterns/measure"
	"pullcard/sequence/report"
	"pullcard/sequence/strain"
)

// HoopMeasurement is a hoop as it was measured before stringing and after it came off the machine: length and width inside, in mm.
type HoopMeasurement struct{ Before, After [2]float64 }

// ParseHoopMeasurement reads "330 x 250, 329.2 x 250.6": length by width before and after, in mm.
func ParseHoopMeasurement(text string) (t HoopMeasurement, err error) {
	wrong := fmt.Errorf(`%q is no measuring; write length x width before and after in mm, as "330 x 250, 329.2 x 250.6"`, text)
	parts := strings.Split(text, ",")
	if len(parts) != 2 {
		return t, wrong
	}
	for i, to := range [2]*[2]float64{&t.Before, &t.After} {
		if to[0], to[1], err = measure.ParseSides(parts[i]); err != nil {
			return t, wrong
		}
	}
	if math.Abs(t.After[0]-t.Before[0]) > 30 || math.Abs(t.After[1]-t.Before[1]) > 30 {
		return t, fmt.Errorf("%q: a hoop does not change by more than 30 mm; check the figures", text)
	}
	return t, nil
}

// Change is by how much the hoop became longer and wider.
func (t HoopMeasurement) Change() (length, width float64) {
	return t.After[0] - t.Before[0], t.After[1] - t.Before[1]
}

// Expected are the changes of length and width to expect when measuring off the machine, with the ranges that come of a tube half and
// twice as stiff and of reading a tape.
type Expected struct{ Length, Width Span }

// Span is a figure between the least and the most, in mm.
type Span struct{ Low, Is, High float64 }

// tapeMM is how far the change of two readings of a tape may be off: this program's own choice.
const tapeMM = 1.0

// stiffnesses are so many times EI, for ranges and fits.
func stiffnesses() []float64 { return []float64{.25, .5, 1, 2, 4} }

// off is the change of length and width off the machine with a tube so many times as stiff.
func (w Work) off(table assume.Table, times float64) ([2]float64, error) {
	own := table.Of(string(w.Frame.Sport), w.materials(), w.mount(), w.pull())
	m, err := w.Elastic(table.With(assume.EI, own.EI/1e6*times, "as tried"))
	if err != nil {
		return [2]float64{}, err
	}
	c, err := m.Play(w.Plan)
	if err != nil {
		return [2]float64{}, err
	}
	last := c.Hoop[len(c.Hoop)-1]
	return [2]float64{last.LengthMM, last.WidthMM}, nil
}

// Expect says what to expect when measuring after dismounting.
func (w Work) Expect(house assume.Table) (e Expected, err error) {
	for i, times := range []float64{1, .5, 2} {
		at, err := w.off(w.Assumptions(house), times)
		if err != nil {
			return e, err
		}
		for k, s := range [2]*Span{&e.Length, &e.Width} {
			if i == 0 {
				*s = Span{at[k] - tapeMM, at[k], at[k] + tapeMM}
			}
			s.Low, s.High = math.Min(s.Low, at[k]-tapeMM), math.Max(s.High, at[k]+tapeMM)
		}
	}
	return e, nil
}

// Words is by how much what is measured may differ from before, as "length −1.9 to +0.8 mm, width −0.7 to +1.3 mm".
func (e Expected) Words() string {
	signed := func(mm float64) string { return measure.Signed(mm, 1) }
	return fmt.Sprintf("length %s to %s mm, width %s to %s mm", signed(e.Length.Low), signed(e.Length.High), signed(e.Width.Low), signed(e.Width.High))
}

// Judge says whether what was measured is what was to be expected; outside is a reason to look at the frame.
func (e Expected) Judge(t HoopMeasurement) (words string, outside bool) {
	length, width := t.Change()
	outside = length < e.Length.Low || length > e.Length.High || width < e.Width.Low || width > e.Width.High
	words = "measured: " + strain.Size{LengthMM: length, WidthMM: width}.Words() + "; "
	if outside {
		return words + "OUTSIDE what is to be expected: measure again; look for cracks, a support that was tight, a strand that slipped", true
	}
	return words + "within what is to be expected", false
}

// Fit is the tube's EI in N·m² that fits what was measured, and how far it may be off.
type Fit struct {
	EI   float64 `json:"best"`
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

// FitEI fits the tube's EI, and nothing else, to what was measured. Its interval is what comes of the ranges of all other numbers that
// no file says, one at a time, and of the tape.
func (w Work) FitEI(house assume.Table, tapes []HoopMeasurement) (Fit, error) {
	if len(tapes) == 0 {
		return Fit{}, errors.New("nothing was measured that EI could be fitted to")
	}
	var want [2]float64
	for _, t := range tapes {
		length, width := t.Change()
		want[0], want[1] = want[0]+length/float64(len(tapes)), want[1]+width/float64(len(tapes))
	}
	table := w.Assumptions(house)
	best, at, err := w.fit(table, want)
	if err != nil {
		return Fit{}, err
	}
	f := Fit{best, best, best}
	widen := func(ei float64) { f.Low, f.High = math.Min(f.Low, ei), math.Max(f.High, ei) }
	by := tapeMM / 2 / math.Sqrt(float64(len(tapes)))
	own := table.Of(string(w.Frame.Sport), w.materials(), w.mount(), w.pull()).EI / 1e6
	for _, sign := range []float64{-1, 1} {
		widen(own * nearest(at, [2]float64{want[0] + sign*by, want[1] - sign*by}))
	}
	for _, r := range table.Ranges(string(w.Frame.Sport), w.materials()[0]) {
		for _, v := range []float64{r.Low, r.High} {
			if ei, _, err := w.fit(table.With(r.Key, v, "as tried"), want); err == nil {
				widen(ei)
			}
		}
	}
	return f, nil
}

// fit is the EI in N·m² that comes nearest to two changes, and the changes at every stiffness.
func (w Work) fit(table assume.Table, want [2]float64) (ei float64, at [][2]float64, err error) {
	for _, times := range stiffnesses() {
		change, err := w.off(table, times)
		if err != nil {
			return 0, nil, err
		}
		at = append(at, change)
	}
	own := table.Of(string(w.Frame.Sport), w.materials(), w.mount(), w.pull()).EI / 1e6
	return own * nearest(at, want), at, nil
}

// nearest is how many times as stiff the tube is whose changes, straight between the stiffnesses by their logarithm, are nearest.
func nearest(at [][2]float64, want [2]float64) (times float64) {
	best := math.Inf(1)
	of := stiffnesses()
	for i := range len(of) - 1 {
		for k := range 101 {
			t := float64(k) / 100
			far := 0.0
			for d := range want {
				miss := at[i][d]*(1-t) + at[i+1][d]*t - want[d]
				far += miss * miss
			}
			if far < best {
				best, times = far, of[i]*math.Pow(of[i+1]/of[i], t)
			}
		}
	}
	return times
}

// Words is "EI 92 N·m² (60 to 150)"; at the end of what was tried it says so.
func (f Fit) Words() string {
	return fmt.Sprintf("EI %.0f N·m² fits it best (%.0f to %.0f with the other numbers in their ranges); EI alone was fitted", f.EI, f.Low, f.High)
}

// HoopReport is what measuring says of a hoop, and the fit to it.
type HoopReport struct {
	Expected string   `json:"expected"`
	Measured []string `json:"measured"`
	Outside  bool     `json:"outside"`
	Fit      Fit      `json:"ei_newton_square_metres"`
	FitWords string   `json:"fit"`
}

// Measured compares hoops that were measured with what is to be expected, and fits EI to them.
func (w Work) Measured(house assume.Table, tapes []HoopMeasurement) (*HoopReport, error) {
	e, err := w.Expect(house)
	if err != nil {
		return nil, err
	}
	out := &HoopReport{Expected: e.Words()}
	for _, t := range tapes {
		words, outside := e.Judge(t)
		out.Measured, out.Outside = append(out.Measured, words), out.Outside || outside
	}
	out.Fit, err = w.FitEI(house, tapes)
	out.FitWords = out.Fit.Words()
	return out, err
}

// Tell tells it, an empty section where nothing was measured.
func (t *HoopReport) Tell() (s report.Section) {
	if t != nil {
		s.Head = "MEASURED off the machine; to be expected: " + t.Expected
		s.Add(append(t.Measured, t.FitWords)...)
	}
	return s
}
