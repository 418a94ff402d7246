package plan

// Terms are what a plan was asked to keep, as plain facts: the frame's holes and strands, the stock of clamps and
// the technique's limits. With them a plan can be proved and drawn long after its files have changed.
type Terms struct {
	Sport string `json:"sport"`
	// Holes is the number of holes of the left and of the right side, counted from the head centre.
	HolesLeft  int `json:"holes_left"`
	HolesRight int `json:"holes_right"`
	// Mains stand in columns from left to right (…, M2L, M1L, M1R, M2R, …); Ends are the head's and the throat's hole.
	Mains []Chord `json:"mains"`
	// Crosses go from the head down; Ends are the left and the right hole.
	Crosses []Chord `json:"crosses"`
	// Shared are the holes that carry a main and a cross; the tie lists name the tie-off holes, each with its side.
	Shared     []Hole `json:"shared"`
	TieMains   []Hole `json:"tie_mains"`
	TieCrosses []Hole `json:"tie_crosses"`

	Pieces int    `json:"pieces"` // 1 or 2
	Around bool   `json:"around"`
	Short  string `json:"short"` // "L" or "R": the short side in one piece, empty in two

	Fixed    int `json:"fixed"`    // clamps A and B that stand on a base
	Flying   int `json:"flying"`   // clamps A and B that pair two strands
	Starting int `json:"starting"` // 1 when there is a starting clamp

	MainsStart string `json:"mains_start"` // "head" or "throat": where the two centre mains loop
	First      string `json:"first"`       // "L" or "R": side of the first pull
	Lead       int    `json:"lead"`        // the most pulls by which one side of the mains may run ahead
	Then       string `json:"then"`        // "overtake" or "level"
	BoostMains int    `json:"boost_mains"`

	From  string `json:"from"`  // "head" or "throat": where the crosses begin
	Side  string `json:"side"`  // "L" or "R": the side on which the crosses' string starts
	Start string `json:"start"` // "clamp", "knot" or "skip"
	Ahead bool   `json:"ahead"` // the next cross is woven before one is pulled
	// Repull says when the tail of a clamp start is pulled again, after the "third" cross or at the "end".
	Repull       string `json:"repull"`
	CrossClamps  int    `json:"cross_clamps"` // 1 or 2: the clamps that are free for the crosses
	Knot         string `json:"knot"`
	PrintedRange string `json:"printed_range"` // "22 kg to 27 kg", empty when the layout gives none

	// PullMains and PullCrosses are the tensions of the two kinds of strand.
	PullMains   Tension `json:"tension_mains"`
	PullCrosses Tension `json:"tension_crosses"`

	Supports []string `json:"supports"` // in mounting order
	Release  []string `json:"release"`  // in dismounting order
	TailMM   float64  `json:"tail_mm"`

	// Terms that were added later are left out where they are unused, so that fingerprints stay.

	// Pulls are the tensions of single strands, where they are not those of their kind.
	Pulls map[Strand]Tension `json:"pulls,omitempty"`
	// FirstFace is how the first cross woven passes the first main it meets; by the absolute grid when empty.
	FirstFace Face `json:"first_face,omitempty"`
	// Reach is the most hole-steps of an outside run, Walk how many strands slack is walked out of after a clamp let go;
	// the usual ones where nothing is said.
	Reach int   `json:"reach,omitempty"`
	Walk  *Walk `json:"walk,omitempty"`
}

// Walk is how many strands, mains and crosses, slack is walked out of.
type Walk struct {
	Mains   int `json:"mains"`
	Crosses int `json:"crosses"`
}

// The usual terms, common practice of the trade.
const (
	UsualReach       = 6
	UsualWalkMains   = 4
	UsualWalkCrosses = 2
)

// ReachSteps is the most hole-steps that an outside run may take.
func (t *Terms) ReachSteps() int {
	if t.Reach == 0 {
		return UsualReach
	}
	return t.Reach
}

// WalkStrands is how many strands slack is walked out of.
func (t *Terms) WalkStrands() Walk {
	if t.Walk == nil {
		return Walk{UsualWalkMains, UsualWalkCrosses}
	}
	return *t.Walk
}

// PullOf is what a strand is pulled at.
func (t *Terms) PullOf(s Strand) Tension {
	if own, ok := t.Pulls[s]; ok {
		return own
	}
	if s.IsMain() {
		return t.PullMains
	}
	return t.PullCrosses
}

// Tensions says what was ordered, "mains 24 kg, crosses 23 kg", and whether single strands are pulled otherwise.
func (t *Terms) Tensions() string {
	out := "mains " + t.PullMains.Ordered + ", crosses " + t.PullCrosses.Ordered
	if len(t.Pulls) > 0 {
		out += ", strand by strand"
	}
	return out
}

// Chord is a strand and the two holes that it spans.
type Chord struct {
	Strand Strand  `json:"strand"`
	Ends   [2]Hole `json:"ends"`
}

// Tension is what a kind of strand is pulled at, with and without boost.
type Tension struct {
	Ordered        string  `json:"ordered"` // in the job's own unit
	Boosted        string  `json:"boosted"` // the same unit
	Newtons        float64 `json:"newtons"`
	BoostedNewtons float64 `json:"boosted_newtons"`
	BoostPercent   float64 `json:"boost_percent"`
}

// Ends are the two holes of a strand, none for a name that the frame has not.
func (t *Terms) Ends(s Strand) [2]Hole {
	for _, list := range [2][]Chord{t.Mains, t.Crosses} {
		for _, c := range list {
			if c.Strand == s {
				return c.Ends
			}
		}
	}
	return [2]Hole{}
}
