package controlchart

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"
)

// LeastPairs is how many jobs two instruments must both have read for one to be told in the other's readings: this program's
// own choice.
const LeastPairs = 5

// Conversion is how one instrument reads against another, from jobs that both read.
type Conversion struct {
	From, To string
	// Log is the mean of ln(To/From), SE its standard error with Pairs − 1 degrees of freedom.
	Log, SE float64
	Pairs   int
}

// String tells it with its interval.
func (c Conversion) String() string {
	half := quantile(float64(c.Pairs-1), .975) * c.SE
	return fmt.Sprintf("%s reads %.3f of %s (95 %% between %.3f and %.3f, from %d jobs that both read)",
		c.To, math.Exp(c.Log), c.From, math.Exp(c.Log-half), math.Exp(c.Log+half), c.Pairs)
}

// Convert makes a conversion of the jobs that both instruments read within RepeatWithin of each other. It fails with TooFew
// below LeastPairs jobs.
func Convert(list []Stringing, from, to string) (Conversion, error) {
	var logs []float64
	seen := map[int64]bool{}
	for _, a := range list {
		if a.Instrument != from || seen[a.Job] {
			continue
		}
		for _, b := range list {
			if b.Instrument == to && b.Job == a.Job && b.At.Sub(a.At).Abs() <= RepeatWithin && b.Played == a.Played {
				logs, seen[a.Job] = append(logs, math.Log(b.Kept/a.Kept)), true
				break
			}
		}
	}
	if len(logs) < LeastPairs {
		return Conversion{}, TooFew{len(logs), LeastPairs}
	}
	mean, sd := stat.MeanStdDev(logs, nil)
	return Conversion{From: from, To: to, Log: mean, SE: sd / math.Sqrt(float64(len(logs))), Pairs: len(logs)}, nil
}
