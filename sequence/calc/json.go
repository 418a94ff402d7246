package calc

import (
	"encoding/json"
	"slices"

	"pullcard/patterns/assume"
	"pullcard/patterns/grid"
	"pullcard/patterns/mechanics"
	"pullcard/sequence/plan"
)

// bedding is the JSON form of a bed.
type bedding struct {
	Grid struct {
		MainPitchMM  float64 `json:"main_pitch_mm"`
		CrossPitchMM float64 `json:"cross_pitch_mm"`
		AreaCM2      float64 `json:"area_cm2"`
		AreaIn2      float64 `json:"area_in2"`
		Even         bool    `json:"even"`
	} `json:"grid"`
	inThreeUnits
	FrequenciesHz []float64         `json:"frequencies_hz"`
	Tensions      []setting         `json:"tensions"`
	Loads         plan.Loads        `json:"loads"`
	Choices       []choice          `json:"choices"`
	Proportional  map[string]string `json:"proportional,omitempty"`
	Map           []spot            `json:"map"`
	Doubts        []string          `json:"doubts"`
	Assumed       assumed           `json:"assumed"`
}

type inThreeUnits struct {
	NPerMM   float64 `json:"stiffness_n_per_mm"`
	KgfPerCm float64 `json:"stiffness_kgf_per_cm"`
	LbfPerIn float64 `json:"stiffness_lbf_per_in"`
}

func inUnits(s mechanics.Stiffness) inThreeUnits {
	return inThreeUnits{float64(s), s.KgfPerCm(), s.LbfPerIn()}
}

type setting struct {
	What    string `json:"what"`
	Ordered string `json:"ordered"`
	Set     string `json:"machine_set_to"`
	Gauge   string `json:"gauge_should_read"`
}

type choice struct {
	What             string  `json:"what"`
	NPerMM           float64 `json:"stiffness_n_per_mm"`
	StiffnessPercent float64 `json:"stiffness_percent"`
	HzPercent        float64 `json:"hz_percent"`
	Why              string  `json:"why,omitempty"`
}

// feel is how another layout feels the same: it rests on how far strings stretch.
type feel struct {
	ByNet     pair    `json:"by_net"`
	PlusMinus pair    `json:"plus_minus"` // about a 95 % interval of by_net, from what is assumed of strings and friction
	ByLength  pair    `json:"by_length"`
	Wanted    float64 `json:"wanted_n_per_mm"`
	AtLengths float64 `json:"by_length_n_per_mm"`
}

type pair struct {
	MainsN   float64 `json:"mains_n"`
	CrossesN float64 `json:"crosses_n"`
}

type spot struct {
	Main   string  `json:"main"`
	Cross  string  `json:"cross"`
	X      float64 `json:"x_mm"`
	Y      float64 `json:"y_mm"`
	NPerMM float64 `json:"n_per_mm"`
}

type assumed struct {
	LossPercent float64 `json:"loss_percent"`
	Source      string  `json:"source"`
	// Taken are the numbers of the elastic hoop that tensions left rest on.
	Taken []assume.Line `json:"taken,omitempty"`
	inThreeUnits
	FrequenciesHz []float64 `json:"frequencies_hz"`
	String        string    `json:"string,omitempty"`
	// WithoutLossHz are the frequencies of the string assumed, without the loss; empty where the job tells its string.
	WithoutLossHz []float64 `json:"without_loss_hz,omitempty"`
	// Loaded is the bed under a ball, as ordered, and LoadedWithLoss with the loss.
	Loaded         loaded         `json:"loaded"`
	LoadedWithLoss loaded         `json:"loaded_with_loss"`
	Choices        []loadedChoice `json:"choices"`
	SameFeel       *feel          `json:"same_feel,omitempty"`
	Curve          []bentPoint    `json:"curve"`
}

// loaded is the stiffness under a ball: crossings that slide, and crossings that friction locks, the two ends of a band.
type loaded struct {
	ForceN       float64 `json:"force_n"`
	PatchMM      float64 `json:"patch_mm"`
	NPerMM       float64 `json:"n_per_mm"`
	LockedNPerMM float64 `json:"locked_n_per_mm"`
	DeflectionMM float64 `json:"deflection_mm"`
	HighestN     float64 `json:"highest_tension_n"`
}

func loadedJSON(b mechanics.Ball, l mechanics.Loaded) loaded {
	return loaded{b.ForceN, b.RadiusMM, float64(l.Free), float64(l.Locked), l.DeflectionMM, l.HighestN}
}

type loadedChoice struct {
	What    string  `json:"what"`
	NPerMM  float64 `json:"n_per_mm"`
	Percent float64 `json:"percent"`
	Why     string  `json:"why,omitempty"`
}

type bentPoint struct {
	ForceN       float64 `json:"force_n"`
	DeflectionMM float64 `json:"deflection_mm"`
	NPerMM       float64 `json:"n_per_mm"`
	HighestN     float64 `json:"highest_tension_n"`
}

// JSON is the bed in the form in which scripts get it; cautions are added to its doubts.
func (b *Bed) JSON(cautions []string) any {
	out := bedding{
		inThreeUnits: inUnits(b.Figures.Stiffness), FrequenciesHz: b.Figures.Hz, Loads: b.Loads,
		Proportional: tensions(b.ByStrand), Map: spots(b), Doubts: slices.Concat([]string{}, b.Doubts, cautions), Assumed: assumedJSON(b),
	}
	if b.Assumed.String != "" {
		out.FrequenciesHz, out.Assumed.WithoutLossHz = []float64{}, b.Figures.Hz
	}
	out.Grid.MainPitchMM, out.Grid.CrossPitchMM = b.Grid.MainPitchMM, b.Grid.CrossPitchMM
	out.Grid.AreaCM2, out.Grid.AreaIn2, out.Grid.Even = b.Grid.AreaCM2(), b.Grid.AreaIn2(), b.Grid.Even()
	for _, s := range b.Settings {
		out.Tensions = append(out.Tensions, setting{s.What, s.Ordered.String(), s.Set.String(), s.Gauge.String()})
	}
	for _, c := range b.Choices {
		out.Choices = append(out.Choices, choice{c.What, float64(c.Stiffness), c.StiffnessPercent, c.HzPercent, c.Why})
	}
	return out
}

func spots(b *Bed) []spot {
	nodes := b.Net.Nodes()
	out := make([]spot, len(b.Map))
	for i := range out {
		n := nodes[i]
		out[i] = spot{b.Grid.Columns[n.Main].Strand.String(), b.Grid.Rows[n.Cross].Strand.String(), n.X, n.Y, float64(b.Map[i])}
	}
	return out
}

func assumedJSON(b *Bed) assumed {
	a := b.Assumed
	out := assumed{
		LossPercent: a.Loss.Percent, Source: a.Loss.Source, Taken: a.Taken, inThreeUnits: inUnits(a.Figures.Stiffness), FrequenciesHz: a.Figures.Hz,
		String: a.String, Loaded: loadedJSON(a.Ball, a.Loaded), LoadedWithLoss: loadedJSON(a.Ball, a.LoadedStrung),
	}
	for _, c := range b.Choices {
		out.Choices = append(out.Choices, loadedChoice{c.What, float64(c.Loaded), c.LoadedPercent, c.Why})
	}
	if f := b.Feel; f != nil {
		out.SameFeel = &feel{pair(f.ByNet), pair(f.PlusMinus), pair(f.ByLength), float64(f.Wanted), float64(f.AtLength)}
	}
	for _, p := range a.Curve {
		out.Curve = append(out.Curve, bentPoint{p.ForceN, p.DeflectionMM, float64(p.Secant), p.HighestN})
	}
	return out
}

// JSON is the lengths in the form in which scripts get them.
func (l *Lengths) JSON() any {
	out := struct {
		Pieces []grid.Piece       `json:"pieces"`
		Spans  map[string]float64 `json:"spans"`
		Left   []grid.Stock       `json:"left"`
		// Tensions are what the strands are pulled at, boosts aside, each with its unit, where they are not all pulled like their kind.
		Tensions map[string]string `json:"tensions,omitempty"`
		Doubts   []string          `json:"doubts"`
		// TooLong says that the pieces pass a usual set, with what Savings the house may take.
		TooLong string        `json:"too_long,omitempty"`
		Savings []grid.Saving `json:"savings,omitempty"`
	}{l.Pieces, map[string]float64{}, append([]grid.Stock{}, l.Left...), tensions(l.ByStrand), append([]string{}, l.Doubts...), l.TooLong, nil}
	if l.TooLong != "" {
		out.Savings = grid.Savings(l.Pieces, l.Practice)
	}
	for _, line := range slices.Concat(l.Grid.Columns, l.Grid.Rows) {
		out.Spans[line.Strand.String()] = line.MM()
	}
	return out
}

// tensions are what every strand is pulled at, by its name; none where they are pulled like their kind.
func tensions(strands []StrandPull) map[string]string {
	out := make(map[string]string, len(strands))
	for _, s := range strands {
		out[s.Strand.String()] = s.Ordered
	}
	return out
}

// ringing is what a frequency says of a job's bed; what rests on assumptions stands apart.
type ringing struct {
	OrderedMeanN float64 `json:"ordered_mean_n"`
	ComputedHz   float64 `json:"computed_hz,omitempty"` // where the job tells its string
	Assumed      struct {
		MeanTensionN  float64 `json:"mean_tension_n"`
		KeptPercent   float64 `json:"kept_percent"`
		AreaCM2       float64 `json:"area_cm2"`
		GramsPerMetre float64 `json:"grams_per_metre"`
		String        string  `json:"string,omitempty"`
		ComputedHz    float64 `json:"computed_hz,omitempty"` // where the string is assumed
		LossPercent   float64 `json:"loss_percent"`
		LossHz        float64 `json:"loss_hz"`
	} `json:"assumed"`
}

// MarshalJSON is the ring in the form in which scripts get it.
func (r *Ring) MarshalJSON() ([]byte, error) {
	out := ringing{OrderedMeanN: r.OrderedN}
	a, hz := &out.Assumed, &out.ComputedHz
	if r.String != "" {
		hz = &a.ComputedHz
	}
	*hz, a.MeanTensionN, a.KeptPercent, a.AreaCM2, a.GramsPerMetre, a.String = r.ComputedHz, r.MeanN, r.KeptPercent, r.AreaCM2, r.GramsPerMetre, r.String
	a.LossPercent, a.LossHz = r.Loss.Percent, r.LossHz
	return json.Marshal(out)
}
