package plan

import "strings"

// OpKind says what kind of operation an Op is.
type OpKind string

// The operations, in no particular order; Op says which fields each of them carries.
const (
	Mount      OpKind = "mount"
	Dismount   OpKind = "dismount"
	Thread     OpKind = "thread"
	Weave      OpKind = "weave"
	Pull       OpKind = "pull"
	ClampOn    OpKind = "clamp"
	Unclamp    OpKind = "unclamp"
	Release    OpKind = "release"
	Tie        OpKind = "tie"
	Trim       OpKind = "trim"
	Straighten OpKind = "straighten"
	Inspect    OpKind = "inspect"
	Note       OpKind = "note"
)

// The operations of a recovery; a plan without mishap has none of them.
const (
	// Fault says what went wrong, before anything is done about it; its Fault tells what that does to the string.
	Fault OpKind = "fault"
	// Slacken lets the gripper that pulls outside Hole give way slowly although nothing holds there: the string goes
	// slack back to the next hold.
	Slacken OpKind = "slacken"
	// Unthread and Unweave draw a slack strand at the end of its line back out of the hoop; the run outside that led
	// to it goes too.
	Unthread OpKind = "unthread"
	Unweave  OpKind = "unweave"
	// Untie opens the knot of a tail whose strand something else holds, or which is slack.
	Untie OpKind = "untie"
	// Cut cuts a strand. The string goes slack from there as far as the next holder each way. A clamp of a rail that grips the
	// strand stays there and is taken off, a loose one comes away. From the centre outwards, mains and crosses in turn as long as there are both, no side more than one ahead.
	Cut OpKind = "cut"
	// Move takes the end of a slack strand from which a free tail hangs out of hole From, where it is by mistake, and feeds it
	// through To, its own.
	Move OpKind = "move"
	// WalkSlack draws slack by hand along Strands, in that order, towards the gripper that pulls next.
	WalkSlack OpKind = "walk"
	// Waive leaves Strand as it lies, by name: woven wrong or in a wrong hole. Text says who decided it and why.
	Waive OpKind = "waive"
)

// Mishap says what went wrong.
type Mishap string

// The mishaps, and what each does to the string. Only what is said here changes; all else that was tight stays tight and
// held.
const (
	// FaultClamp: clamp Clamp slipped, by Extent. Crept or base slid: it still holds, but its string lost tension back to
	// the next holder. Gone: it holds nothing, from where it stands the string is slack back to the next holder.
	FaultClamp Mishap = "clamp slipped"
	// FaultGripper: the gripper that pulls let go: as if it had been eased where nothing else holds.
	FaultGripper Mishap = "gripper slipped"
	// FaultLate: a pull of Strand slipped and that was found late. It does nothing to the string by itself; what the
	// strand has is doubted until it is pulled anew.
	FaultLate Mishap = "slip found late"
	// FaultWeave: Strand passes a main on the wrong side. It lies wrong until it is drawn out, cut or waived.
	FaultWeave Mishap = "misweave"
	// FaultHole: Strand went through Hole instead of From, one of its own. Likewise, and until it is moved its end is there; an
	// older plan does not say from, and leaves it in words.
	FaultHole Mishap = "wrong hole"
	// FaultSwapped: Strand and With were laid or pulled in each other's place. Both lie wrong, likewise.
	FaultSwapped Mishap = "strands swapped"
	// FaultBreak: Strand broke, Where: at the gripper, at a jaw, in a hole or in the bed. Its line is slack as far as the
	// next holder each way. Outside its exit (Choose "regrip") the strand itself stays whole and its tail long enough.
	FaultBreak Mishap = "string broke"
	// FaultKnot: the knot in Hole of the tail of Strand does not hold; the string is slack back to the next holder. One that gave a
	// little and holds (Extent "crept") may be kept (Choose "keep").
	FaultKnot Mishap = "knot slipped"
	// FaultKink: Strand has a kink or a nick. It lies wrong until it is out.
	FaultKink Mishap = "kink"
	// FaultTension: Strand and those pulled after it were pulled at a wrong setting. They are doubted until pulled anew, those that were
	// pulled too high (Extent "high") out of slack.
	FaultTension Mishap = "wrong tension"
	// FaultShort: the tail of Strand is too short for the gripper or for its knot.
	FaultShort Mishap = "too short"
	// FaultSplit: Hole is split. It takes no knot and no strand any more, unless Choose is "sleeve": then it is mended.
	FaultSplit Mishap = "hole split"
	// FaultFrame: the frame is cracked. Everything is cut out, the frame comes off, and that is the end.
	FaultFrame Mishap = "frame cracked"
	// FaultPause: the work was interrupted in the midst of a step. What was done of it holds, the gripper too; the rest of it follows.
	FaultPause Mishap = "interrupted"
)

// LiesWrong says whether the mishap is that string lies where or as it should not.
func (m Mishap) LiesWrong() bool { return m == FaultWeave || m == FaultHole || m == FaultSwapped }

// Illegal says whether a bed that keeps what a waiver leaves is not legal in play: string lies wrong, and no layout has it so.
func (o *Op) Illegal() bool { return o.Fault.LiesWrong() && o.To == "" }

// UnmarshalText reads a mishap, also by a name that plans of older books have.
func (m *Mishap) UnmarshalText(text []byte) error {
	if *m = Mishap(text); *m == "tie-off hole split" {
		*m = FaultSplit
	}
	return nil
}

// Extent says by how much a clamp slipped, and to which side a setting was wrong.
type Extent string

// The extents of a clamp's slip.
const (
	Crept Extent = "crept" // it still holds, jaw marks on the string
	Base  Extent = "base"  // the whole clamp moved on its rail; it still holds
	Gone  Extent = "gone"  // it let go
	High  Extent = "high"  // more was set than was ordered: the string is let go before it is pulled anew
)

// Place says where a string broke.
type Place string

// The places of a break.
const (
	AtGripper Place = "gripper"
	AtJaw     Place = "jaw"
	AtHole    Place = "hole"
	InBed     Place = "bed"
)

// Piece names the piece of string that a span is laid with.
type Piece string

// The pieces of a racket.
const (
	PieceMains   Piece = "mains"
	PieceCrosses Piece = "crosses"
	PieceWhole   Piece = "whole" // one piece for both
)

// Face says how a cross passes a main, as seen from the stringer.
type Face string

// The two faces.
const (
	Over  Face = "over"
	Under Face = "under"
)

// Other is the face as it is seen from the other side; that of none is none.
func (f Face) Other() Face {
	switch f {
	case Over:
		return Under
	case Under:
		return Over
	}
	return f
}

// Op is one thing that hands do. Op names the kind; only the fields that write (fields.go) has for that kind mean anything.
type Op struct {
	Op      OpKind `json:"op"`
	Support string `json:"support"`
	Strand  Strand `json:"strand"`
	// From and To are the holes by which a strand enters and leaves the hoop.
	From Hole `json:"from"`
	To   Hole `json:"to"`
	// After is the strand whose tail is laid; empty at the start of a piece.
	After Strand `json:"after"`
	Piece Piece  `json:"piece"`
	// First says how a cross passes the first main that it meets, Meets how many it meets.
	First Face `json:"first"`
	Meets int  `json:"meets"`
	// Blocked are those of the strand's holes over which an outside run lies already.
	Blocked []Hole `json:"blocked"`
	// Covers are the holes still to be threaded under the run that this op makes.
	Covers []Hole `json:"covers"`
	// Hole is where the gripper or a clamp takes the string, a knot sits or a tail is trimmed.
	Hole Hole `json:"hole"`
	// Newtons is the tension of a pull, boost included; Tension the same in the job's own unit, as "26.4 kg".
	Newtons float64 `json:"newtons"`
	Tension string  `json:"tension"`
	// BoostPercent is what the boost comes to, 0 without one.
	BoostPercent float64 `json:"boost_percent"`
	Repull       bool    `json:"repull"`
	Clamp        Clamp   `json:"clamp"`
	Outside      bool    `json:"outside"`
	// Out is the hole by which a tail leaves, or will enter after a starting knot.
	Out    Hole    `json:"out"`
	Anchor Strand  `json:"anchor"`
	Knot   string  `json:"knot"`
	TailMM float64 `json:"tail_mm"`
	Text   string  `json:"text"`
	Fault  Mishap  `json:"fault"`
	// Also is the strand that a pull draws tight together with its own across a loop, as with flying clamps.
	Also Strand `json:"also,omitempty"`
	// With is the neighbour that a flying clamp grips too, the other of two swapped strands, or the first strand that
	// was felt to be tight still when a clamp, the gripper or the string outside a strand let go.
	With    Strand   `json:"with,omitempty"`
	Strands []Strand `json:"strands,omitempty"`
	Where   Place    `json:"where,omitempty"`
	Extent  Extent   `json:"extent,omitempty"`
	// Choose is what the stringer decided where a mishap leaves a choice: a hole, "sleeve", "regrip", "keep", …
	Choose string `json:"choose,omitempty"`
	// Tight is what is done where a strand that is pressed is tight; empty where nothing is asked.
	Tight WhenTight `json:"tight,omitempty"`
}

// WhenTight says what is done where string is tight that was taken to be slack.
type WhenTight string

// What is done then.
const (
	CutTight   WhenTight = "cut"   // it is lost: cut on the bed's side of the clamp, which stays on
	GripTight  WhenTight = "grip"  // the gripper takes it there, and gives way slowly when the clamp is off
	LeaveTight WhenTight = "leave" // it is left, and so is its clamp
)

// WhenTight is what is done where the strand is tight that the op has pressed; an older plan says it in words only.
func (o *Op) WhenTight() WhenTight {
	if o.Op != Inspect || o.Strand == "" || o.Tight != "" {
		return o.Tight
	}
	switch _, then, _ := strings.Cut(o.Text, "if it is tight, "); {
	case then == "":
		return ""
	case strings.HasPrefix(then, "leave "):
		return LeaveTight
	case strings.HasPrefix(then, "cut "):
		return CutTight
	}
	return GripTight
}

// Mishaps lists every kind of mishap.
func Mishaps() []Mishap {
	return []Mishap{FaultBreak, FaultClamp, FaultGripper, FaultLate, FaultWeave, FaultHole, FaultKnot, FaultKink, FaultSwapped,
		FaultTension, FaultShort, FaultSplit, FaultFrame, FaultPause}
}
