package assume

// Key is the name of a number in a table.
type Key string

// The numbers. Nought takes the effect away: a hoop, tube or support of nought does not give, a string of nought keeps what it was
// pulled to however its ends move.
const (
	EI       Key = "ei"        // of the tube against bending in the plane of the strings, N·m²
	EA       Key = "ea"        // of the tube against stretching, kN
	Yoke     Key = "yoke"      // so many times as stiff is the tube over the throat, the lowest sixth of the rim
	StringEA Key = "string_ea" // of the strings, kN
	Friction Key = "friction"  // coefficient of string on string, on holes and on the gripper's turn; of nought nothing slides from strand to strand
	Turn     Key = "turn"      // by how much the string turns at the exit hole on its way to the gripper, degrees
	Drawback Key = "drawback"  // what a clamp gives when it takes the load, mm
	Knot     Key = "knot_loss" // what a knot gives when it takes the load, mm
	Creep    Key = "creep"     // of the tension in the first day, percent
	Pace     Key = "pace"      // from pull to pull, seconds
	Weaving  Key = "weaving"   // the share of the crimp that is counted, 0 to 1
	Support  Key = "support"   // stiffness of a support, N/mm
	Hold     Key = "hold"      // how stiffly a support holds along the tube, N/mm
	Gap      Key = "gap"       // by how much a support stands off when it is set, mm
	Limit    Key = "limit"     // load of a support that is announced, N; none when nought
)

// number is what is known of a number before anybody says anything.
type number struct {
	key          Key
	unit         string  // as it is written; empty for a plain number
	per          float64 // of the model's unit in one of the written
	usual        float64 // as written
	low, high    float64 // the range in which it may lie, as written
	most         float64 // above it is a slip of the pen
	what, source string
}

const memory = "from memory"

// numbers are the usual ones of a sport, for a string of a material.
func numbers(sport, material string) []number {
	tube := map[string][2]float64{"tennis": {110, 3000}, "badminton": {12, 1200}, "squash": {60, 2200}, "racquetball": {80, 2600}}[sport]
	if tube == [2]float64{} {
		tube = [2]float64{110, 3000}
	}
	creep := map[string]float64{"polyester": 12, "nylon": 8, "gut": 6, "aramid": 5}[material]
	if creep == 0 {
		creep = 8
	}
	return []number{
		{EI, "N m²", 1e6, tube[0], tube[0] / 2, tube[0] * 2, 1e4, "tube against bending in the plane of the strings", memory + "; published racket stiffness is out of plane"},
		{EA, "kN", 1e3, tube[1], tube[1] / 2, tube[1] * 2, 1e6, "tube against stretching", memory + ", from the section"},
		{Yoke, "", 1, 1, 1, 3, 100, "times as stiff over the throat", "the layout says so where it is"},
		{StringEA, "kN", 1e3, 0, 0, 0, 1000, "strings against stretching", memory + ", by material and gauge as for the bed"},
		{Friction, "", 1, .15, .1, .25, 1, "friction of string on string, holes and gripper", memory},
		{Turn, "°", 1, 10, 5, 20, 90, "turn of the string at the exit hole on its way to the gripper", "common practice"},
		{Drawback, "mm", 1, .5, .2, 1, 20, "what a clamp gives", "common practice"},
		{Knot, "mm", 1, 2, 1, 4, 30, "what a knot gives", "common practice"},
		{Creep, "%", 1, creep, creep / 2, creep * 1.5, 60, "creep of the tension in the first day", "common practice"},
		{Pace, "s", 1, 45, 25, 90, 3600, "from pull to pull", "common practice"},
		{Weaving, "", 1, 1, .8, 1, 1, "share of the crimp that is counted", "by how plain weave lies"},
		{Support, "N/mm", 1, 1000, 300, 3000, 1e6, "stiffness of a support", memory},
		{Hold, "N/mm", 1, 200, 50, 1000, 1e6, "how stiffly a support holds along the tube", memory},
		{Gap, "mm", 1, 0, 0, .5, 10, "how far a support stands off when it is set", "common practice: each just touching"},
		{Limit, "N", 1, 0, 0, 0, 1e5, "load of a support that is announced", "the house's, none where nothing is said"},
	}
}
