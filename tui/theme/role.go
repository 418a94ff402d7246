package theme

// Role is what a colour stands for. No role is told by its colour alone: each has a shape or a word of its own as well. Five things
// that a stringer acts on have each a colour that means nothing else: to do (Current), tight (Main and Cross), warning (Warn, Boost,
// Soon), danger (Danger, Blocked) and done (OK).
type Role uint8

// The roles. Those from Hoop on colour marks of the picture; those before it colour text.
const (
	Text     Role = iota // ordinary words
	Quiet                // words that may be overlooked
	Title                // headings
	Current              // the strand in hand, its holes and its figures
	Boost                // a pull with more than the ordered tension
	OK                   // done, kept, passed
	Warn                 // look before you go on
	Danger               // wrong; stop
	Bar                  // words on a bar, which has its own background
	Hoop                 // the frame
	Free                 // a hole without string
	Main                 // a main that is laid
	Cross                // a cross that is laid
	Next                 // the strand that comes after the one in hand
	Slack                // a strand laid but not pulled
	Deferred             // a strand whose pull is put off
	ClampA               // the left clamp
	ClampB               // the right clamp
	ClampS               // the starting clamp
	Blocked              // a hole under an outside run
	Soon                 // a hole that will be covered
	Knot                 // a knot
	Label                // hole numbers and the letters of the frame
	roles
)

// Roles lists every role.
func Roles() []Role {
	all := make([]Role, roles)
	for i := range all {
		all[i] = Role(i)
	}
	return all
}

// IsMark says whether the role colours marks and large figures only; for these 3 : 1 against the background is enough
// where text needs 4.5 : 1 (WCAG 2.x).
func (r Role) IsMark() bool { return r == Hoop || r == Free || r == Next }

// String is the role's name.
func (r Role) String() string {
	return [...]string{"text", "quiet", "title", "current", "boost", "ok", "warn", "danger", "bar", "hoop", "free", "main",
		"cross", "next", "slack", "deferred", "clamp A", "clamp B", "clamp S", "blocked", "soon", "knot", "label"}[r]
}
