package main

import (
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// rackets is how many rackets an iteration of BenchmarkKey strings: enough keys for a 99th percentile.
const rackets = 8

// BenchmarkKey measures the way from key to picture through a pseudo-terminal, with every event on the disk, beside an
// empty program of the same frame rate. Keys come at random moments, so that they do not fall in step with the renderer.
//
//	p50-ms, p99-ms    from the writing of the key to the first output with the new step's number
//	frame-p99-ms      to the end of that frame
//	paint-ms          from the start of the process to its first frame, the median
//	peak-MB           the largest memory in use, VmHWM
//	idle-%            of a processor while nothing happens
func BenchmarkKey(b *testing.B) {
	bin := build(b)
	for _, size := range [][2]int{{80, 24}, {200, 60}} {
		for _, p := range []struct {
			name string
			cmd  func(b *testing.B) *exec.Cmd
		}{
			{"bench", func(b *testing.B) *exec.Cmd {
				job := jobFile(b, "job.toml", "blue", "club-sixteen", "two-piece-skip")
				return exec.Command(bin, "bench", "--hold", "1ms", "--book", filepath.Join(b.TempDir(), "book.db"), job)
			}},
			{"empty", func(b *testing.B) *exec.Cmd {
				self, err := os.Executable()
				require.NoError(b, err)
				return &exec.Cmd{Path: self, Args: []string{emptyName}}
			}},
		} {
			b.Run(fmt.Sprintf("%s/%dx%d", p.name, size[0], size[1]), func(b *testing.B) {
				m := measured{load: load(b)}
				for b.Loop() {
					for i := range rackets {
						m.racket(b, newLine(b, size, nil, p.cmd(b)), i == 0)
					}
				}
				m.report(b)
			})
		}
	}
}

// measured is what came out of some rackets.
type measured struct {
	load          string
	keys, frames  []time.Duration
	paints        []time.Duration
	peakMB        float64
	idleMeasured  time.Duration
	idleProcessor time.Duration
}

// quiet is for how long nothing happens while the idle load is measured.
const quiet = 5 * time.Second

// racket marks every step but the last as done, one key at a time.
func (m *measured) racket(b *testing.B, l *line, idle bool) {
	b.Helper()
	m.paints = append(m.paints, l.until(fmt.Sprintf("1/%d", steps), 0, patience).Sub(l.started))
	rest(20*time.Millisecond, 70*time.Millisecond)
	if idle {
		m.rest(b, l)
	}
	for n := 2; n <= steps; n++ {
		before := l.so()
		pressed := time.Now()
		l.write(" ")
		m.keys = append(m.keys, l.until(fmt.Sprintf("%d/%d", n, steps), before, patience).Sub(pressed))
		rest(20*time.Millisecond, 70*time.Millisecond)
		m.frames = append(m.frames, l.last().Sub(pressed))
	}
	m.peakMB = max(m.peakMB, peak(b, l.cmd.Process.Pid))
	l.write("q")
	require.NoError(b, l.end())
	l.close()
}

// rest waits for a random time.
func rest(least, most time.Duration) { time.Sleep(least + rand.N(most-least)) }

// rest measures the idle load.
func (m *measured) rest(b *testing.B, l *line) {
	b.Helper()
	from, began := processor(b, l.cmd.Process.Pid), time.Now()
	time.Sleep(quiet)
	m.idleProcessor += processor(b, l.cmd.Process.Pid) - from
	m.idleMeasured += time.Since(began)
}

func (m *measured) report(b *testing.B) {
	ms := func(d time.Duration) float64 { return float64(d) / float64(time.Millisecond) }
	b.ReportMetric(0, "ns/op") // a whole run says nothing
	b.ReportMetric(ms(percentile(m.keys, 50)), "p50-ms")
	b.ReportMetric(ms(percentile(m.keys, 99)), "p99-ms")
	b.ReportMetric(ms(percentile(m.frames, 99)), "frame-p99-ms")
	b.ReportMetric(ms(percentile(m.paints, 50)), "paint-ms")
	b.ReportMetric(m.peakMB, "peak-MB")
	b.ReportMetric(100*float64(m.idleProcessor)/float64(m.idleMeasured), "idle-%")
	b.Logf("%d keys, %d starts, the slowest key %.1f ms, load %s before and %s after", len(m.keys), len(m.paints),
		ms(slices.Max(m.keys)), m.load, load(b))
}

// percentile is the smallest value that p percent of them do not exceed.
func percentile(all []time.Duration, p int) time.Duration {
	sorted := slices.Sorted(slices.Values(all))
	return sorted[max((len(sorted)*p+99)/100, 1)-1]
}

// last is when the newest output came.
func (l *line) last() time.Time {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.chunks[len(l.chunks)-1].at
}

// peak is the largest memory in use of a process so far, in MB of a million bytes.
func peak(b *testing.B, pid int) float64 {
	b.Helper()
	data, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	require.NoError(b, err)
	_, after, ok := strings.Cut(string(data), "VmHWM:")
	require.True(b, ok, "%s", data)
	kib, err := strconv.ParseFloat(strings.Fields(after)[0], 64)
	require.NoError(b, err)
	return kib * 1024 / 1e6
}

// processor is the time that a process has been on a processor.
func processor(b *testing.B, pid int) (sum time.Duration) {
	b.Helper()
	threads, err := filepath.Glob(fmt.Sprintf("/proc/%d/task/*/schedstat", pid))
	require.NoError(b, err)
	require.NotEmpty(b, threads)
	for _, t := range threads {
		data, err := os.ReadFile(t)
		require.NoError(b, err)
		ns, err := strconv.ParseInt(strings.Fields(string(data))[0], 10, 64)
		require.NoError(b, err)
		sum += time.Duration(ns)
	}
	return sum
}

// load is the machine's load over the last minute.
func load(b *testing.B) string {
	b.Helper()
	data, err := os.ReadFile("/proc/loadavg")
	require.NoError(b, err)
	return strings.Fields(string(data))[0]
}

// BenchmarkSteps starts the program, has it print a plan and waits for its end.
func BenchmarkSteps(b *testing.B) {
	bin, job := build(b), jobFile(b, "job.toml", "blue", "club-sixteen", "two-piece-skip")
	for _, flag := range []string{"--json", "--markdown"} {
		b.Run(strings.TrimPrefix(flag, "--"), func(b *testing.B) {
			var all []time.Duration
			for b.Loop() {
				began := time.Now()
				require.NoError(b, exec.Command(bin, "steps", job, flag).Run())
				all = append(all, time.Since(began))
			}
			b.ReportMetric(float64(percentile(all, 50))/1e6, "p50-ms")
			b.ReportMetric(float64(percentile(all, 99))/1e6, "p99-ms")
			b.Logf("load %s", load(b))
		})
	}
}
