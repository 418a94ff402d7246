package frame

import "strings"

// pair reads two quantities with a sign between them, as "22-27 kg" or "330x250": a unit behind the second counts for
// the first too, and unit is the one of both when none is written. What it cannot make out it gives on as it is written,
// so that whoever reads the file says what is wrong.
func pair(s, unit string, between ...string) (first, second string) {
	s = strings.TrimSpace(s)
	lower := strings.ToLower(s)
	for _, sign := range between {
		if at := strings.Index(lower, sign); at > 0 && len(lower) == len(s) {
			first, second = s[:at], s[at+len(sign):]
			break
		}
	}
	if first == "" {
		first = s
	}
	a, ua := quantity(first)
	b, ub := quantity(second)
	if ub == "" && b != "" {
		ub = unit
	}
	if ua == "" && ub != "" {
		ua = ub
	}
	if ua == "" && a != "" {
		ua = unit
	}
	return join(a, ua), join(b, ub)
}

// quantity splits a number from its unit, and spells the usual units as a layout does.
func quantity(s string) (number, unit string) {
	s = strings.Replace(strings.TrimSpace(s), ",", ".", 1)
	at := strings.IndexFunc(s, func(r rune) bool { return r != '.' && (r < '0' || r > '9') })
	if at < 0 {
		return s, ""
	}
	number, unit = strings.TrimSpace(s[:at]), strings.TrimSpace(s[at:])
	switch strings.ToLower(unit) {
	case "kg", "kgs", "kgf":
		unit = "kg"
	case "lb", "lbs", "lbf":
		unit = "lb"
	case "n":
		unit = "N"
	case "mm", "cm", "m", "in":
		unit = strings.ToLower(unit)
	}
	return number, unit
}

func join(number, unit string) string {
	if number == "" {
		return unit
	}
	return strings.TrimSpace(number + " " + unit)
}

// joinPair writes two quantities as they are typed: the unit once where it is the same.
func joinPair(first, second, sign, wide string) string {
	if first == "" || second == "" {
		return first + second
	}
	a, ua := quantity(first)
	b, ub := quantity(second)
	if ua == ub && join(a, ua) == first && join(b, ub) == second {
		return join(a+sign+b, ua)
	}
	return first + wide + second
}
