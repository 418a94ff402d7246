package records

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	_ "pullcard/patterns/sweep" // for what is drawn
	"pullcard/sequence/verdict"
)

// now is a made-up time in a zone of its own.
func now() time.Time { return time.Date(2031, 5, 4, 13, 2, 0, 0, time.FixedZone("", 2*3600)) }

func kind(t testing.TB, n Name) Kind {
	t.Helper()
	k, ok := Find(n)
	require.True(t, ok)
	return k
}

// Every kind stands on its own feet: what it names is there, and no key is written in two ways.
func TestKindsHoldTogether(t *testing.T) {
	for _, k := range Kinds() {
		keys := map[string]bool{}
		for _, f := range k.Fields {
			assert.False(t, keys[f.Key], "%s %s", k.Name, f.Key)
			keys[f.Key] = true
			assert.NotEmpty(t, f.Label)
			assert.NotEmpty(t, f.Help)
			if f.Of != "" {
				_, ok := Find(f.Of)
				assert.True(t, ok, "%s %s", k.Name, f.Key)
			}
		}
		if k.Owner != "" {
			f, ok := k.Field(k.Owner)
			assert.True(t, ok && f.Of != "", "%s is owned by a record", k.Name)
		}
	}
	_, ok := Find("song")
	assert.False(t, ok)
}

func TestReadKeepsWhatIsRight(t *testing.T) {
	got, err := kind(t, KindRacket).Read(Fields{"player": "u1", "mark": "  blue dot ", "mass": "305 g", "balance": "12.6 in", "notes": ""}, now())
	require.NoError(t, err)
	assert.Equal(t, Fields{"player": "u1", "mark": "blue dot", "mass": "305 g", "balance": "12.6 in"}, got, "empty fields are left away, units stay as written")
}

func TestReadTellsEverythingAtOnce(t *testing.T) {
	_, err := kind(t, KindStock).Read(Fields{"form": "coil", "length": "200", "diameter": "12 mm", "lenght": "200 m", "sets": "-1", "mass": "2", "bought": "soon"}, now())
	require.Error(t, err)
	for _, want := range []string{
		`bought: "soon" is no time; write it as "17:30", "tomorrow 17:30", "fri 17:30", "2031-05-04" or "2031-05-04 17:30"`,
		`diameter: "12 mm" is not from 0.4 mm to 2 mm`,
		`form: "coil" is not known; there are reel and sets`,
		`a stock has no "lenght"; did you mean "length"?`,
		`length: "200" has no unit; write "200 m"`,
		`mass: "2" is no mass per length`,
		`name is missing; a stock needs it: the string's name`,
		`sets: "-1" is no number from 1 to 10000`,
	} {
		assert.ErrorContains(t, err, want)
	}
}

func TestChecks(t *testing.T) {
	for _, c := range []struct {
		kind       Name
		key, wrong string
		right      map[string]string // written, kept
	}{
		{KindGauge, "read", "24", map[string]string{"24.0 kg": "24 kg", "53 lb": "53 lb"}},
		{KindMachine, "offset", "0.3", map[string]string{"0.3 kg": "0.3 kg", "-0.5 lb": "-0.5 lb", "0 kg": "0 kg"}},
		{KindMachine, "offset", "9 kg", nil},
		{KindMachine, "turn", "sideways", map[string]string{"head left": "head left"}},
		{KindReading, "value", "612", map[string]string{"612 Hz": "612 Hz", "590Hz": "590 Hz", "32   points": "32 points", "600 HZ": "600 Hz", "612hz": "612 Hz", "32 n/mm": "32 N/mm", "150 LB/in": "150 lb/in"}},
		{KindRacket, "mass", "305", map[string]string{"305g": "305 g", "305.0 g": "305.0 g"}},
		{KindCut, "length", "6.2", map[string]string{"6.085m": "6.085 m"}},
		{KindJob, "tension", "24", map[string]string{"24.0kg": "24 kg", "24 kg/23 kg": "24 kg / 23 kg", "53 lb / 53 lb": "53 lb"}},
		{KindJob, "tension", "24 kg /", nil},
		{KindJob, "tension", "24 kg / 23 kg / 22 kg", nil},
		{KindReading, "value", "-3 Hz", nil},
		{KindReading, "temperature", "70 C", map[string]string{"21 C": "21 C"}},
		{KindReading, "temperature", "21 F", nil},
		{KindReading, "after", "a while", map[string]string{"30 min": "30 min", "2 h": "2 h", "3 d": "3 d"}},
		{KindPlayer, "plays", "51", map[string]string{"3": "3", "007": "7"}},
		{KindHoop, "before", "330", map[string]string{"330 x 250": "330 x 250 mm", "330.5 × 250 mm": "330.5 x 250 mm"}},
		{KindJob, "price", "18", map[string]string{"18 EUR": "18 EUR", "18.50€": "18.50 €"}},
		{KindJob, "handed", "soon", map[string]string{"2031-05-06 09:15": "2031-05-06T09:15:00+02:00"}},
		{KindVerdict, "answer", "meh", map[string]string{"right": "right", "too loose, a bit": "too loose, a bit"}},
		{KindJob, "promised", "25:00", map[string]string{"17:30": "2031-05-04T17:30:00+02:00", "2031-05-06": "2031-05-06T00:00:00+02:00",
			"2031-05-06 09:15": "2031-05-06T09:15:00+02:00", "2031-05-06T09:15:00Z": "2031-05-06T09:15:00Z",
			"yesterday 17:30": "2031-05-03T17:30:00+02:00", "today 17:30": "2031-05-04T17:30:00+02:00", "Tomorrow": "2031-05-05T00:00:00+02:00", "tomorrow 9:00": "2031-05-05T09:00:00+02:00", // a sunday
			"mon 09:00": "2031-05-05T09:00:00+02:00", "Saturday  17:30": "2031-05-10T17:30:00+02:00", "sunday 10:00": "2031-05-11T10:00:00+02:00"}},
		{KindJob, "promised", "tomorrow 25:00", nil},
		{KindJob, "promised", "someday", nil},
		{KindJob, "promised", "today tomorrow", nil},
	} {
		f, ok := kind(t, c.kind).Field(c.key)
		require.True(t, ok)
		_, err := f.read(c.wrong, now())
		assert.Error(t, err, "%s %s %q", c.kind, c.key, c.wrong)
		for written, kept := range c.right {
			got, err := f.read(written, now())
			require.NoError(t, err)
			assert.Equal(t, kept, got)
		}
	}
}

// A length without a unit is offered the one in which it can be meant.
func TestALengthWithoutUnit(t *testing.T) {
	for _, c := range []struct {
		kind             Name
		key, wrote, want string
	}{
		{KindStock, "length", "200", `"200" has no unit; write "200 m"`},
		{KindStock, "diameter", "1.25", `"1.25" has no unit; write "1.25 mm"`},
		{KindRacket, "balance", "320", `"320" has no unit; write "320 mm"`},
		{KindRacket, "balance", "32", `"32" has no unit; write "32 cm"`},
		{KindMachine, "reach", "400", `"400" has no unit; write "400 mm"`},
		{KindStock, "length", "1", `"1" has no unit; write "1 m"`},
		{KindStock, "length", "9999999", `"9999999" has no unit; write a length from 1 m to 2000 m`},
	} {
		f, ok := kind(t, c.kind).Field(c.key)
		require.True(t, ok)
		_, err := f.read(c.wrote, now())
		assert.EqualError(t, err, c.want)
	}
}

// What is kept is kept again as it is: correcting a record changes nothing that nobody touched.
func TestReadTwiceIsReadOnce(t *testing.T) {
	k := kind(t, KindJob)
	once, err := k.Read(Fields{"promised": "17:30", "parked": "yes", "notes": " x "}, now())
	require.NoError(t, err)
	twice, err := k.Read(once, now().Add(48*time.Hour))
	require.NoError(t, err)
	assert.Equal(t, once, twice)
}

// The answers that the book keeps are those that the verdicts are read from.
func TestAnswersAreVerdicts(t *testing.T) {
	for _, text := range answers() {
		a, err := verdict.Parse(text)
		require.NoError(t, err)
		assert.Equal(t, text, a.String())
	}
	assert.Len(t, answers(), 7)
}

func TestFold(t *testing.T) {
	assert.Equal(t, "zoe strasse 松", Fold(" Zoë STRASSE 松 "))
	assert.Equal(t, Fold("Straße"), Fold("STRASSE"))
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.String().Draw(t, "text")
		if again := Fold(Fold(text)); again != Fold(text) {
			t.Fatalf("%q folds to %q and then to %q", text, Fold(text), again)
		}
	})
}

func TestBlankKeepsWhatIsNobodys(t *testing.T) {
	kept, gone := kind(t, KindRacket).Blank(Fields{"player": "u1", "notes": "of Ada", "mark": "Ada's", "frame": "club-sixteen", "mass": "305 g", "remarks": ""})
	assert.Equal(t, Fields{"player": "u1", "frame": "club-sixteen", "mass": "305 g"}, kept)
	assert.Equal(t, []string{"mark", "notes"}, gone)
}

func TestOffsetInNewtons(t *testing.T) {
	// 1 kgf is 9.80665 N and 1 lbf 4.4482216152605 N. Source: GNU units definitions; NIST SP 811, appendix B (2008).
	assert.InDelta(t, -2.941995, Amount("-0.3 kg").Newtons(), 1e-9)
	assert.InDelta(t, 4.4482216152605, Amount("1 lb").Newtons(), 1e-12)
	assert.Zero(t, Amount("").Newtons())
}
