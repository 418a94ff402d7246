package shop

import (
	"math"
	"time"

	"pullcard/patterns/harmless"
	"pullcard/sequence/book"
	"pullcard/sequence/controlchart"
	"pullcard/sequence/records"
	"pullcard/sequence/verdict"
)

// namedRecord is a record in JSON, with the names of those that its fields refer to.
type namedRecord struct {
	book.Record
	Names records.Fields `json:"names,omitempty"`
}

func (it Item) json() namedRecord {
	k, _ := records.Find(it.Kind)
	out := namedRecord{it.Record, records.Fields{}}
	for _, f := range k.Fields {
		if uid := it.Fields[f.Key]; f.Of != "" && uid != "" {
			out.Names[f.Key] = it.Names[uid]
		}
	}
	return out
}

// JSON is the record as scripts read it.
func (it Item) JSON() any { return it.json() }

// JSON is the page as scripts read it.
func (p Page) JSON() any {
	return struct {
		namedRecord
		Corrections []book.Correction `json:"corrections"`
		Below       []Section         `json:"below"`
	}{p.json(), p.Corrections, p.Below}
}

// slot is a job of the queue in JSON.
type slot struct {
	Job      int64      `json:"job"`
	UID      string     `json:"uid"`
	Title    string     `json:"title"`
	Begun    bool       `json:"begun"`
	Parked   bool       `json:"parked"`
	Promised *time.Time `json:"promised,omitempty"`
	// Low, Mid and High are when it will be ready: one time in ten before Low, one in ten after High.
	Low      time.Time `json:"ready_low"`
	Mid      time.Time `json:"ready"`
	High     time.Time `json:"ready_high"`
	Verdict  string    `json:"verdict,omitempty"`
	LateBy   int       `json:"late_by_min,omitempty"`
	Stringer string    `json:"stringer,omitempty"` // who will have it, and the machine, if all goes as usual
	Machine  string    `json:"machine,omitempty"`
	Trouble  string    `json:"trouble,omitempty"`
	Short    string    `json:"string_short,omitempty"`
	Away     string    `json:"away,omitempty"` // that who is to string it is, from when to when
	// Undecided says that the verdicts on its lot suggest something on which nobody decided.
	Undecided bool `json:"undecided,omitempty"`
}

// JSON is the job in the queue as scripts read it.
func (w Waiting) JSON() any {
	q := w.Slot
	out := slot{Job: w.ID, UID: w.UID, Title: harmless.Text(w.Title), Begun: q.Begun, Parked: q.Parked, Undecided: w.Undecided,
		Low: q.Ready.Low, Mid: q.Ready.Mid, High: q.Ready.High, Verdict: string(q.Verdict), LateBy: int(math.Ceil(q.LateBy.Minutes()))}
	if !q.Promised.IsZero() {
		out.Promised = &q.Promised
	}
	out.Away, out.Short, out.Stringer, out.Machine = harmless.Text(w.Gone), harmless.Text(w.Short), harmless.Text(w.Stringer), harmless.Text(w.Machine)
	if w.Err != nil {
		out.Trouble = w.Err.Error()
	}
	return out
}

// AdviceJSON is a suggestion in JSON.
type AdviceJSON struct {
	Lot      int64           `json:"lot"`
	Outcome  verdict.Outcome `json:"outcome"`
	Job      int64           `json:"from_job,omitempty"`
	Used     string          `json:"used,omitempty"`
	Answer   string          `json:"answer,omitempty"`
	Mains    string          `json:"mains,omitempty"`
	Crosses  string          `json:"crosses,omitempty"`
	Waiting  []int64         `json:"waiting"`
	Evidence []verdict.Line  `json:"evidence"`
	Why      string          `json:"why,omitempty"`
}

// JSON is the suggestion as scripts read it.
func (a Advice) JSON() AdviceJSON {
	out := AdviceJSON{Lot: a.Lot.ID, Outcome: a.Outcome, Waiting: []int64{}, Evidence: a.Lines, Why: a.None}
	if out.Evidence == nil {
		out.Evidence = []verdict.Line{}
	}
	for _, c := range a.Waiting {
		out.Waiting = append(out.Waiting, c.ID)
	}
	if a.None == "" {
		out.Job, out.Used, out.Answer = a.Judged.Job, string(records.Bed(a.Judged.Mains.String(), a.Judged.Crosses.String())), a.Verdict.Answer.String()
		out.Mains, out.Crosses = a.Mains.String(), a.Crosses.String()
	}
	return out
}

// ChartJSON is a chart in JSON.
type ChartJSON struct {
	Instrument string        `json:"instrument"`
	Baseline   *baselineJSON `json:"baseline,omitempty"`
	Others     int           `json:"not_in_it"`
	Skipped    int           `json:"skipped"`
	Points     []pointJSON   `json:"points"`
}

type baselineJSON struct {
	Name         string  `json:"name,omitempty"`
	Stringings   int     `json:"stringings"`
	Until        string  `json:"until"`
	Centre       float64 `json:"centre"`
	Sigma        float64 `json:"sigma"`
	TrendP       float64 `json:"trend_p"`
	Lower        float64 `json:"lower"`
	Upper        float64 `json:"upper"`
	ShiftSigma   float64 `json:"shift_sigma"`
	ShiftWithin  int     `json:"shift_within"`
	ShiftPower   float64 `json:"shift_power"`
	AlarmsAtMost float64 `json:"false_alarms_at_most"`
	PricedOver   int     `json:"false_alarms_over"`
}

type pointJSON struct {
	Job        int64     `json:"job"`
	At         string    `json:"at"`
	Value      float64   `json:"value"`
	Readings   int       `json:"readings"`
	SD         float64   `json:"sd"`
	EWMA       *float64  `json:"ewma,omitempty"`
	EWMALimits []float64 `json:"ewma_limits,omitempty"`
	Machine    string    `json:"machine,omitempty"`
	Stringer   string    `json:"stringer,omitempty"`
	String     string    `json:"string,omitempty"`
	Individual bool      `json:"individual_alarm"`
	Average    bool      `json:"ewma_alarm"`
	Changed    []string  `json:"changed"`
}

// JSON is the chart as scripts read it.
func (c Charted) JSON() ChartJSON {
	out := ChartJSON{Instrument: c.Instrument, Others: c.Others, Skipped: c.Skipped, Points: []pointJSON{}}
	if b := c.Base; b != nil {
		lower, upper := b.Limits()
		out.Baseline = &baselineJSON{b.Name, b.N, b.Until.Format(time.RFC3339), b.Centre, b.Sigma, b.TrendP, lower, upper,
			controlchart.Shift, controlchart.Within, b.Power(), controlchart.Price, controlchart.PricedOver}
	}
	for i, p := range c.Points {
		q := pointJSON{Job: p.Job, At: p.At.Format(time.RFC3339), Value: p.Value, Readings: p.N, SD: p.SD, Machine: p.Machine, Stringer: p.Stringer, String: p.String,
			Individual: c.Alarms[i].Individual, Average: c.Alarms[i].EWMA, Changed: []string{}}
		if j := i - c.First; j >= 0 {
			low, high := c.EWMALimits(j)
			q.EWMA, q.EWMALimits = &c.EWMA[j], []float64{low, high}
		}
		if c.Alarms[i].Any() {
			for _, ch := range c.Changed(i) {
				q.Changed = append(q.Changed, ch.String())
			}
		}
		out.Points = append(out.Points, q)
	}
	return out
}
