package records

import (
	"reflect"
	"strings"
	"sync"
	"time"

	"pullcard/patterns/measure"
)

// The records as types. Each field is the one of the table that has its name in small letters; what refers to another record
// holds its UID, everything else the text as it is kept, empty for nothing.
type (
	// Player is who plays.
	Player struct {
		Name, Contact, Plays       string
		Tension                    Tensions
		Technique, String, Remarks string
		Notes, Because             string
	}
	// Racket is a player's racket.
	Racket struct {
		Player, Mark, Frame string
		Mass                Amount
		Balance             Length
		Tension             Tensions
		Technique, String   string
		Remarks             string
		Notes, Because      string
	}
	// Stock is a reel, or sets of one string.
	Stock struct {
		Name, Form     string
		Length         Length
		Sets           string
		Diameter       Length
		Mass, Material string
		Lot            string
		Bought         Moment
		Notes, Because string
	}
	// Cut is string that was cut from a stock.
	Cut struct {
		Stock                  string
		Length                 Length
		For, Piece, Job, Notes string
		Because                string
	}
	// Stocktaking is what was left of a stock when it was counted. Known are the UIDs of cuts, with spaces between.
	Stocktaking struct {
		Stock                     string
		Left                      Length
		By, Notes, Known, Because string
	}
	// Machine is a stringing machine.
	Machine struct {
		Name, Pull  string
		Reach       Length
		Offset      Amount
		Accepted    string
		Again       Amount
		Checked     string
		Out         Moment
		Turn, Notes string
		Because     string
	}
	// Gauge is what a gauge read when a machine was set.
	Gauge struct{ Machine, Set, Read, Stringer, Notes, Because string }
	// Stringer is who strings.
	Stringer struct {
		Name           string
		Since, Away    Moment
		Notes, Because string
	}
	// Lot is several rackets of one player with one set-up.
	Lot struct{ Player, Name, Notes, Because string }
	// Job is a racket to be strung, in work or strung.
	Job struct {
		Player, Racket, Lot               string
		Promised                          Moment
		Frame, Technique                  string
		Tension                           Tensions
		Mains, Crosses, Machine, Stringer string
		File, Came, Notes                 string
		Price                             Amount
		Paid                              string
		Handed                            Moment
		To, Parked                        string
		Suggested, Decided, Reason        string
		Set                               Tensions
		Text                              string
	}
	// Reading is what a tap or a gauge said of a strung bed.
	Reading struct {
		Job          string
		Value, Error Amount
		Expected     Amount
		With         string
		Temperature  Amount
		After        string
		Notes        string
		Because      string
	}
	// Hoop is how large a hoop was before stringing and off the machine.
	Hoop struct{ Job, Before, After, Notes string }
	// Verdict is what a player said of a strung racket.
	Verdict struct{ Job, Answer, Notes string }
	// Baseline is the first period of a chart, as it was judged when somebody decided on it.
	Baseline struct {
		Name, By, Machine, Stringer, Mains, With       string
		Stringings, Until, Centre, Sigma, Trend, Notes string
	}
	// Frame is a layout that the house keeps.
	Frame struct{ Name, File, Notes, Text, Because string }
	// Sheet is a technique sheet that the house keeps.
	Sheet struct{ Name, File, Notes, Text, Because string }
)

// What fields with choices say.
const (
	Sets     = "sets"  // the form of a stock
	Parked   = Yes     // of a job that is set aside
	Yes      = "yes"   // of what is so or not
	ForJob   = "job"   // what a cut was for
	ForCount = "count" // likewise, in older books: there was less than was thought
)

// Typed is any of the records.
type Typed interface {
	Player | Racket | Stock | Cut | Stocktaking | Machine | Gauge | Stringer | Lot | Job | Reading | Hoop | Verdict | Baseline | Frame | Sheet
}

// keys are the names in the table of the fields of each type, made once.
var keys = sync.OnceValue(func() map[reflect.Type][]string {
	out := map[reflect.Type][]string{}
	for _, r := range []any{Player{}, Racket{}, Stock{}, Cut{}, Stocktaking{}, Machine{}, Gauge{}, Stringer{}, Lot{}, Job{}, Reading{}, Hoop{}, Verdict{}, Baseline{}, Frame{}, Sheet{}} {
		t := reflect.TypeOf(r)
		for i := range t.NumField() {
			out[t] = append(out[t], strings.ToLower(t.Field(i).Name))
		}
	}
	return out
})

// As makes a record of its fields.
func As[R Typed](f Fields) (r R) {
	v := reflect.ValueOf(&r).Elem()
	for i, key := range keys()[v.Type()] {
		if text := f[key]; text != "" {
			v.Field(i).SetString(text)
		}
	}
	return r
}

// Texts are the fields of a record, without the empty ones.
func Texts[R Typed](r R) Fields {
	var none R
	return Changed(none, r)
}

// Changed are the fields in which a record differs from what it was; an empty text is one that went.
func Changed[R Typed](was, now R) Fields {
	f := Fields{}
	v, old := reflect.ValueOf(now), reflect.ValueOf(was)
	for i, key := range keys()[v.Type()] {
		if text := v.Field(i).String(); text != old.Field(i).String() {
			f[key] = text
		}
	}
	return f
}

// Length is a length with its unit, as "200 m".
type Length string

// MM is the length in millimetres, 0 for none. It was checked when it was written.
func (l Length) MM() float64 {
	mm, err := measure.ParseLength(string(l))
	if err != nil {
		return 0
	}
	return mm
}

// Amount is a number with its unit, as "612 Hz".
type Amount string

// Split takes number and unit apart; ok is false for none.
func (a Amount) Split() (value float64, unit string, ok bool) { return Split(string(a)) }

// Tensions are those of a bed: "24 kg", or "24 kg / 23 kg" for mains and crosses.
type Tensions string

// Both are the tensions of mains and crosses.
func (t Tensions) Both() (mains, crosses measure.Tension, err error) {
	one, other, two := strings.Cut(string(t), "/")
	if mains, err = measure.ParseTension(strings.TrimSpace(one)); err != nil || !two {
		return mains, mains, err
	}
	crosses, err = measure.ParseTension(strings.TrimSpace(other))
	return mains, crosses, err
}

// Bed writes the tensions of mains and crosses; of equal ones one.
func Bed(mains, crosses string) Tensions {
	if mains == crosses || crosses == "" {
		return Tensions(mains)
	}
	return Tensions(mains + " / " + crosses)
}

// Moment is a time as a record has it, RFC 3339.
type Moment string

// Time is the time, the zero one for none.
func (m Moment) Time() time.Time {
	at, err := time.Parse(time.RFC3339, string(m))
	if err != nil {
		return time.Time{}
	}
	return at
}

// Amend returns fields with what fill changes in the record of which they are some; an empty text stands for one that fill took
// away.
func Amend[R Typed](f Fields, fill func(*R) error) (Fields, error) {
	was := As[R](f)
	now := was
	err := fill(&now)
	return f.With(Changed(was, now)), err
}

// Key is the name of a field in the table, of a record and a pointer to the field in it, for messages.
func Key[R Typed, F ~string](r *R, field *F) string {
	v := reflect.ValueOf(r).Elem()
	for i, key := range keys()[v.Type()] {
		if v.Field(i).Addr().Pointer() == reflect.ValueOf(field).Pointer() {
			return key
		}
	}
	panic("records: that is no field of it")
}
