package verdict

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"pullcard/patterns/measure"
)

// Kind is what a line of evidence is.
type Kind string

// The kinds of lines.
const (
	Said       Kind = "said"       // a verdict that was used, with the tension it was about
	Reason     Kind = "reason"     // what follows from the verdicts, or why nothing does
	Warning    Kind = "warning"    // what to know before following it
	History    Kind = "history"    // what an earlier verdict moved, and how that was answered
	Computed   Kind = "computed"   // what the change does to the bed
	Assumption Kind = "assumption" // on what a computed line rests
	Literature Kind = "literature" // what is known of players, with its source or that there is none
	Ask        Kind = "ask"        // what to ask the player
)

// Line is one line of evidence, ready to be printed.
type Line struct {
	Kind Kind   `json:"kind"`
	Text string `json:"text"`
}

func (s *Suggestion) say(k Kind, format string, args ...any) {
	s.Lines = append(s.Lines, Line{k, fmt.Sprintf(format, args...)})
}

// String writes "2031-03-02: too tight, a bit at 24 kg".
func (j judged) String() string {
	text := fmt.Sprintf("%s: %s at %s", day(j.Verdict.At), j.Answer, used(j.Mains, j.Crosses))
	var bed []string
	if j.Stiffness > 0 {
		bed = append(bed, fmt.Sprintf("%.1f N/mm under a ball", j.Stiffness))
	}
	if j.Hz > 0 {
		bed = append(bed, fmt.Sprintf("%.0f Hz", j.Hz))
	}
	if len(bed) > 0 {
		text += ", computed " + strings.Join(bed, ", ")
	}
	return text
}

func day(at time.Time) string {
	if at.IsZero() {
		return "undated"
	}
	return at.Format(time.DateOnly)
}

// used writes the tensions of a racket, once where mains and crosses have the same.
func used(mains, crosses measure.Tension) string {
	if mains == crosses {
		return mains.String()
	}
	return fmt.Sprintf("mains %s, crosses %s", mains, crosses)
}

// history tells, oldest first, what verdicts moved: a racket answers the newest verdict on its set-up before it was
// strung, and each verdict is answered by the first such racket.
func (s *Suggestion) history(past []Past, all []judged) {
	rackets := slices.Clone(past)
	slices.SortStableFunc(rackets, func(a, b Past) int { return a.At.Compare(b.At) })
	told := map[int]bool{}
	for _, r := range rackets {
		i := slices.IndexFunc(all, func(j judged) bool { return j.Setup == r.Setup && j.Verdict.At.Before(r.At) })
		if i < 0 || told[i] {
			continue
		}
		told[i] = true
		answer := "not answered yet"
		if own := verdicts([]Past{r}); len(own) > 0 {
			answer = "answered " + own[0].Answer.String()
		}
		where := ""
		if r.Setup != s.Judged.Setup {
			where = " (another set-up)"
		}
		v := all[i]
		s.say(History, "%s: %s at %s → %s, %s%s", day(v.Verdict.At), v.Answer, used(v.Mains, v.Crosses), used(r.Mains, r.Crosses), answer, where)
	}
}

// compute tells what the change does to the bed.
func (s *Suggestion) compute(bed Bed) {
	k, hz, err := bed(s.Judged.Mains, s.Judged.Crosses)
	var newK, newHz float64
	if err == nil {
		newK, newHz, err = bed(s.Mains, s.Crosses)
	}
	if err != nil {
		s.say(Warning, "what the change does to the bed cannot be computed: %v", err)
		return
	}
	s.say(Computed, "stiffness under a ball %.1f → %.1f N/mm (%s N/mm, %s %%)", k, newK, measure.Signed(newK-k, 1), measure.Signed((newK/k-1)*100, 1))
	if hz > 0 {
		s.say(Computed, "lowest frequency %.0f → %.0f Hz (%s Hz, %s %%)", hz, newHz, measure.Signed(newHz-hz, 0), measure.Signed((newHz/hz-1)*100, 1))
	}
	s.say(Assumption, "%s, %s", noLosses, stretch)
}

// assumed is on what the computed stiffness and frequency rest.
const (
	noLosses = "no losses"
	stretch  = "strings that stretch as their material usually does"
)

// literature tells how much players notice.
// Source: Bower & Cross, J. Sci. Med. Sport 6(1):120–131 (2003). What experts feel is common practice, without a source.
func (s *Suggestion) literature() {
	s.say(Literature, "many players do not notice small changes: of 41 advanced players 27 %% told a difference of 5 kg or less, "+
		"and 37 %% missed 10 kg (Bower & Cross, J. Sci. Med. Sport 6(1):120–131, 2003)")
	s.say(Literature, "experts are said to feel about 0.5 kg (common practice, no source)")
}
