package bench

import (
	"fmt"
	"os"
	"slices"
	"testing"
	"time"

	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"
	"github.com/stretchr/testify/require"

	"pullcard/tui/theme"
)

// BenchmarkKey marks all steps of frames with more and more crossings as done, with a recorder in memory, and paints each: what a key computes
// beside the book. update-µs is what works the screen out, picture-µs what paints it, the medians of all steps.
func BenchmarkKey(b *testing.B) {
	colours := lipgloss.NewRenderer(os.Stdout)
	colours.SetColorProfile(termenv.TrueColor)
	dark, err := theme.New(colours, "dark")
	require.NoError(b, err)
	for _, frame := range []string{"bridge-fourteen", "club-sixteen", "shuttle-twentytwo"} {
		for _, size := range [][2]int{{80, 24}, {200, 60}} {
			r := newRig(b, frame, "two-piece-skip")
			b.Run(fmt.Sprintf("%s/%d×%d", frame, size[0], size[1]), func(b *testing.B) {
				var update, picture []time.Duration
				for b.Loop() {
					r.shelf.events = nil
					m, err := New(r.m.job, Settings{Hold: time.Millisecond, Now: r.m.set.Now, Theme: dark})
					require.NoError(b, err)
					for r.m = m.SetSize(size[0], size[1]); !r.m.finished(); {
						began := time.Now()
						r.press(" ")
						updated := time.Now()
						_ = r.m.View()
						update, picture = append(update, updated.Sub(began)), append(picture, time.Since(updated))
					}
				}
				b.ReportMetric(0, "ns/op") // a whole racket says nothing
				for unit, all := range map[string][]time.Duration{"update-µs": update, "picture-µs": picture} {
					slices.Sort(all)
					b.ReportMetric(float64(all[len(all)/2])/float64(time.Microsecond), unit)
				}
			})
		}
	}
}
