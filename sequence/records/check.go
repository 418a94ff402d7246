package records

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"pullcard/patterns/measure"
)

// The checks return the text in the form in which it is kept.

func count(least, most int) func(string, time.Time) (string, error) {
	return func(text string, _ time.Time) (string, error) {
		n, err := strconv.Atoi(text)
		if err != nil || n < least || n > most {
			return "", fmt.Errorf("%q is no number from %d to %d", text, least, most)
		}
		return strconv.Itoa(n), nil
	}
}

// amount is a number with its unit.
func amount(least, most float64, unit string) func(string, time.Time) (string, error) {
	return func(text string, _ time.Time) (string, error) {
		v, u, ok := Split(text)
		if !ok || u != unit || v < least || v > most {
			return "", fmt.Errorf(`%q is not from %g to %g %s; write it as "%g %s"`, text, least, most, unit, (least+most)/2, unit)
		}
		return spaced(text), nil
	}
}

// money is an amount above nought with its currency.
func money(text string, _ time.Time) (string, error) {
	v, u, ok := Split(text)
	if !ok || u == "" || v < 0 {
		return "", fmt.Errorf(`%q is no price; write it with its currency, as "18 EUR"`, text)
	}
	return spaced(text), nil
}

func length(least, most float64) func(string, time.Time) (string, error) {
	return func(text string, _ time.Time) (string, error) {
		if v, unit, ok := Split(text); ok && unit == "" {
			return "", noUnit(text, v, least, most)
		}
		mm, err := measure.ParseLength(text)
		if err == nil && (mm < least || mm > most) {
			err = fmt.Errorf("%q is not from %s to %s", text, mmText(least), mmText(most))
		}
		return spaced(text), err
	}
}

// noUnit offers the largest unit of length in which a number is from least to most.
func noUnit(text string, v, least, most float64) error {
	for _, u := range []struct {
		name string
		mm   float64
	}{{"m", 1000}, {"cm", 10}, {"mm", 1}} {
		if mm := v * u.mm; mm >= least && mm <= most {
			return fmt.Errorf(`%q has no unit; write "%s %s"`, text, text, u.name)
		}
	}
	return fmt.Errorf("%q has no unit; write a length from %s to %s", text, mmText(least), mmText(most))
}

// mmText writes a length in metres where it is one, as in "2000 m".
func mmText(mm float64) string {
	if mm >= 1000 {
		return strconv.FormatFloat(mm/1000, 'f', -1, 64) + " m"
	}
	return strconv.FormatFloat(mm, 'f', -1, 64) + " mm"
}

func linearMass(text string, _ time.Time) (string, error) {
	_, err := measure.ParseLinearMass(text)
	return spaced(text), err
}

// fileName is a name that no path is taken for.
func fileName(text string, _ time.Time) (string, error) {
	if strings.ContainsAny(text, `/\`+"\n") || strings.HasSuffix(text, ".toml") || text == "." || text == ".." {
		return "", fmt.Errorf(`%q would be a path; write a name without slashes and .toml, as "house-two-piece"`, text)
	}
	return text, nil
}

func tension(text string, _ time.Time) (string, error) {
	t, err := measure.ParseTension(text)
	return t.String(), err
}

func tensions(text string, _ time.Time) (string, error) {
	mains, crosses, err := Tensions(text).Both()
	return string(Bed(mains.String(), crosses.String())), err
}

// signedTension is an offset: it may be below nought, and none is written "0 kg".
func signedTension(text string, _ time.Time) (string, error) {
	_, u, ok := Split(text)
	if !ok || (u != "kg" && u != "lb" && u != "N") {
		return "", fmt.Errorf(`%q is no offset; write it as "0.3 kg" or "-0.3 kg"`, text)
	}
	if n := Amount(text).Newtons(); n < -50 || n > 50 {
		return "", fmt.Errorf("%q is more than 50 N; a machine that is so far off is mended, not corrected", text)
	}
	return spaced(text), nil
}

// Newtons is an offset in newtons, 0 for none.
func (a Amount) Newtons() float64 {
	v, u, _ := a.Split()
	return v * map[string]float64{"kg": measure.NewtonsPerKgf, "lb": measure.NewtonsPerLbf, "N": 1}[u]
}

// stiffnesses are the units of a stiffness, each with what it is in N/mm.
var stiffnesses = map[string]float64{"N/mm": 1, "kN/m": 1, "N/cm": 0.1, "N/m": 0.001, "kg/mm": measure.NewtonsPerKgf, "kg/cm": measure.NewtonsPerKgf / 10,
	"lb/in": measure.NewtonsPerLbf / measure.MillimetresPerIn}

// Stiffness is what a unit of stiffness is in N/mm; known is false for any other unit.
func Stiffness(unit string) (per float64, known bool) {
	per, known = stiffnesses[unit]
	return per, known
}

// spelledUnit is a frequency's or a stiffness's unit as it is spelled, however it is typed; any other is a gauge's own and stays as it is.
func spelledUnit(typed string) string {
	for _, unit := range append(slices.Collect(maps.Keys(stiffnesses)), "Hz") {
		if strings.EqualFold(unit, typed) {
			return unit
		}
	}
	return typed
}

func reading(text string, _ time.Time) (string, error) {
	v, u, ok := Split(text)
	if !ok || u == "" || v <= 0 {
		return "", fmt.Errorf(`%q is no reading; write a number above nought and its unit, as "612 Hz" or "32 N/mm"`, text)
	}
	digits, _ := apart(text)
	return digits + " " + spelledUnit(u), nil
}

// sides is the length and the width of a hoop.
func sides(text string, _ time.Time) (string, error) {
	length, width, err := measure.ParseSides(text)
	if err != nil {
		return "", err
	}
	return fmt.Sprintf("%s x %s mm", strconv.FormatFloat(length, 'f', -1, 64), strconv.FormatFloat(width, 'f', -1, 64)), nil
}

func duration(text string, _ time.Time) (string, error) {
	if _, err := Duration(text); err != nil {
		return "", err
	}
	return spaced(text), nil
}

// Duration reads "30 min", "2 h" or "3 d".
func Duration(text string) (time.Duration, error) {
	v, u, ok := Split(text)
	per, known := map[string]time.Duration{"min": time.Minute, "h": time.Hour, "d": 24 * time.Hour}[u]
	if !ok || !known || v < 0 || v > 1e5 {
		return 0, fmt.Errorf(`%q is no time; write it as "30 min", "2 h" or "3 d"`, text)
	}
	return time.Duration(v * float64(per)), nil
}

// Split takes a number and the unit behind it apart.
func Split(text string) (value float64, unit string, ok bool) {
	digits, unit := apart(text)
	v, err := strconv.ParseFloat(digits, 64)
	return v, unit, err == nil
}

func apart(text string) (digits, unit string) {
	text = strings.TrimSpace(text)
	end := strings.IndexFunc(text, func(r rune) bool { return !strings.ContainsRune("0123456789.+-", r) })
	if end < 0 {
		end = len(text)
	}
	return text[:end], strings.TrimSpace(text[end:])
}

// spaced has one space between a number, as it was written, and its unit.
func spaced(text string) string {
	digits, unit := apart(text)
	return digits + " " + unit
}

// moment keeps a time as RFC 3339.
func moment(text string, now time.Time) (string, error) {
	at, err := When(text, now)
	return at.Format(time.RFC3339), err
}

// When reads a time of day, a day or both, in the zone of now; a time of day is today's, and a day without one its beginning, for who was told
// a day may come as early. A day may be said as yesterday, today, tomorrow or the coming one of its name, as "friday" or "fri".
func When(text string, now time.Time) (time.Time, error) {
	said, hour, _ := strings.Cut(strings.ToLower(text), " ")
	for n := -1; n < 8; n++ {
		date := now.AddDate(0, 0, n)
		name := strings.ToLower(date.Weekday().String())
		if n == -1 && said == "yesterday" || n == 0 && said == "today" || n == 1 && said == "tomorrow" || n > 0 && (said == name || said == name[:3]) {
			text = strings.TrimSpace(date.Format(time.DateOnly) + " " + strings.TrimSpace(hour))
			break
		}
	}
	for _, form := range []string{time.RFC3339, "2006-01-02 15:04", "2006-01-02T15:04", time.DateOnly} {
		if t, err := time.ParseInLocation(form, text, now.Location()); err == nil {
			return t, nil
		}
	}
	clock, err := time.ParseInLocation("15:04", text, now.Location())
	if err != nil {
		return time.Time{}, fmt.Errorf(`%q is no time; write it as "17:30", "tomorrow 17:30", "fri 17:30", "2031-05-04" or "2031-05-04 17:30"`, text)
	}
	y, m, d := now.Date()
	return time.Date(y, m, d, clock.Hour(), clock.Minute(), 0, 0, now.Location()), nil
}
