package tap

import "fmt"

// Words tell what was heard, a line each: the reading, the tones that compete and the taps.
func (r Result) Words() (out []string) {
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	if r.Clear {
		say("%.2f Hz, plus or minus %.2f Hz (about a 95 %% interval), from %s", r.Hz, r.PlusMinusHz, count(r.Taps))
	} else {
		say("no clear tone: %s", r.Why)
	}
	if r.Clipped {
		say("! clipped: the recording is too loud for its samples; record from farther away or with less gain")
	}
	for _, t := range r.Candidates {
		say("  tone %8.2f Hz, plus or minus %.2f Hz, %.0f dB, dies away in %.0f ms, in %s, the bed's by %.0f %%", t.Hz, t.PlusMinusHz, t.LevelDB, t.DecayMS, count(t.Taps), t.Chance*100)
	}
	for _, t := range r.Heard {
		say("  at %.2f s  %s", t.Seconds, t)
	}
	return out
}

// String is the tap in words, as "612.40 Hz, plus or minus 1.50 Hz".
func (t Tap) String() string {
	words := fmt.Sprintf("%.2f Hz, plus or minus %.2f Hz", t.Hz, t.PlusMinusHz)
	switch {
	case !t.Clear:
		words = "no clear tone"
	case !t.Used:
		words = fmt.Sprintf("%.1f Hz, left out", t.Hz)
	}
	if t.Clipped {
		words += ", clipped"
	}
	return words
}

func count(taps int) string {
	if taps == 1 {
		return "1 tap"
	}
	return fmt.Sprintf("%d taps", taps)
}
