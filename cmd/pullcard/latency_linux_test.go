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
	"syscall"
	"testing"
	"text/tabwriter"
	"time"

	"github.com/stretchr/testify/require"

	"pullcard/sequence/room/servertest"
)

// BenchmarkPromises measures what is promised of the program's speed, through a pseudo-terminal and with every event on the disk, and prints
// both. Beside it, in turn so that the machine is the same for all, run two programs that only count keys, at bubbletea's highest rate of frames: one
// that is empty, and one that has each key on the disk first. Keys come at random moments, so that they do not fall in step with the
// renderer. Each iteration is a racket for each: take -benchtime 8x for a 99th percentile. Skipped where no server for a room is installed.
//
// A key is measured from its writing to the end of the frame with the new step's number, a start from that of the process to the end of
// its first frame, memory at its largest (VmHWM), the processor for five seconds in which nothing happens.
func BenchmarkPromises(b *testing.B) {
	rooms := newBenchRooms(b)
	self, err := os.Executable()
	require.NoError(b, err)
	bin, before := build(b), load(b)
	var all []program
	for _, size := range [][2]int{{80, 24}, {200, 60}} {
		for _, name := range []string{emptyName, syncingName, alone, inRoom, hanging} {
			all = append(all, program{name, size, &measured{}})
		}
	}
	for first := true; b.Loop(); first = false {
		for _, p := range all {
			book := filepath.Join(b.TempDir(), "book.db")
			cmd := func() *exec.Cmd {
				return exec.Command(bin, "bench", "--hold", "1ms", "--book", book, jobFile(b, "job.toml", "blue", "club-sixteen", "two-piece-skip"))
			}
			switch p.name {
			case emptyName, syncingName:
				cmd = func() *exec.Cmd { return &exec.Cmd{Path: self, Args: []string{p.name, book}} }
			case inRoom, hanging:
				book = rooms.book(p.name)
			}
			if p.name == hanging {
				rooms.hang()
			}
			p.racket(b, newLine(b, p.size, nil, cmd()), first)
			if p.name == alone {
				l := newLine(b, p.size, nil, cmd())
				p.again = append(p.again, l.first())
				l.leave()
			}
			rooms.goOn()
		}
	}
	b.ReportMetric(0, "ns/op")                                                                                 // a whole run says nothing
	fmt.Printf("%d keys each, load %s before and %s after\n%s", len(all[0].keys), before, load(b), table(all)) // a log would be cut after ten lines
}

// program is one of those that are measured, on a terminal of columns and rows.
type program struct {
	name string
	size [2]int
	*measured
}

// table sets what is promised beside what was measured, of five programs a size: the first two are those that the others are held against.
func table(all []program) string {
	var out strings.Builder
	w := tabwriter.NewWriter(&out, 0, 0, 2, ' ', 0)
	for five := range slices.Chunk(all, 5) {
		empty, syncing := five[0], five[1]
		row := func(what string, got, most float64, unit, more string, args ...any) {
			kept := ""
			if got > most {
				kept = "NOT KEPT"
			}
			fmt.Fprintf(w, "%d×%d\t%s\t≤ %.3g%s\t%.3g\t%s\t%s\n", empty.size[0], empty.size[1], what, most, unit, got, fmt.Sprintf(more, args...), kept)
		}
		for _, p := range five[2:] {
			for _, n := range []int{50, 99} {
				got, beside := percentile(p.keys, n), percentile(syncing.keys, n)
				row(fmt.Sprintf("key to frame, %s, p%d", p.name, n), ratio(got, beside), 1.5, " of syncing",
					"%.1f ms beside %.1f; %.2f of empty", ms(got), ms(beside), ratio(got, percentile(empty.keys, n)))
			}
		}
		for _, start := range []struct {
			what   string
			paints []time.Duration
		}{{"first frame", five[2].again}, {"first frame, a new book", five[2].paints}} {
			got, beside := percentile(start.paints, 50), percentile(empty.paints, 50)
			row(start.what, ratio(got, beside), 1.5, " of empty", "%.1f ms beside %.1f", ms(got), ms(beside))
		}
		for _, p := range five[2:] {
			row("memory, "+p.name, p.peakMB, 35, " MB", "%.1f MB of it the program's file; empty %.1f", p.fileMB, empty.peakMB)
			row("idle, "+p.name, p.idle(), max(empty.idle(), syncing.idle()), " %", "of a processor")
		}
	}
	_ = w.Flush() // a builder takes all
	return out.String()
}

// The names of the program that is measured.
const alone, inRoom, hanging = "bench", "in a room", "server hangs"

// benchRooms are books in a room of a server.
type benchRooms struct {
	*servertest.Server
	b     *testing.B
	books map[string]string
}

// newBenchRooms is a server with a room and two books in it.
func newBenchRooms(b *testing.B) *benchRooms {
	b.Helper()
	r := &benchRooms{servertest.Start(b), b, map[string]string{}}
	url := r.URL("keeper", r.Room(b))
	pullcard := func(args ...string) {
		out, err := exec.Command(build(b), args...).CombinedOutput()
		require.NoError(b, err, "%s", out)
	}
	pullcard("room", "open", url)
	for name, letter := range map[string]string{inRoom: "K", hanging: "H"} {
		r.books[name] = filepath.Join(b.TempDir(), "book.db")
		pullcard("room", "join", url, "--as", letter, "--book", r.books[name])
	}
	return r
}

func (r *benchRooms) book(name string) string { return r.books[name] }
func (r *benchRooms) hang()                   { require.NoError(r.b, r.Signal(syscall.SIGSTOP)) }
func (r *benchRooms) goOn()                   { require.NoError(r.b, r.Signal(syscall.SIGCONT)) }

func ms(d time.Duration) float64       { return float64(d) / float64(time.Millisecond) }
func ratio(a, b time.Duration) float64 { return float64(a) / float64(b) }

// measured is what came out of some rackets.
type measured struct {
	keys, paints, again         []time.Duration
	peakMB, fileMB              float64
	idleMeasured, idleProcessor time.Duration
}

// idle is how much of a processor it took while nothing happened, in percent.
func (m *measured) idle() float64 { return 100 * ratio(m.idleProcessor, m.idleMeasured) }

const (
	// quiet is for how long nothing happens while the idle load is measured.
	quiet = 5 * time.Second
	// settled is after what time a program that has started is at rest: a bench foresees what its hoop will do.
	settled = 2 * time.Second
)

// racket marks every step but the last as done, one key at a time.
func (m *measured) racket(b *testing.B, l *line, idle bool) {
	b.Helper()
	m.paints = append(m.paints, l.first())
	if idle {
		m.rest(b, l)
	}
	for n := 2; n <= steps; n++ {
		rest(40*time.Millisecond, 140*time.Millisecond)
		before := l.so()
		pressed := time.Now()
		l.write(" ")
		m.keys = append(m.keys, l.painted(l.until(fmt.Sprintf("%d/%d", n, steps), before, patience)).Sub(pressed))
	}
	if mb := memory(b, l.cmd.Process.Pid, "VmHWM"); mb > m.peakMB {
		m.peakMB, m.fileMB = mb, memory(b, l.cmd.Process.Pid, "RssFile")
	}
	l.leave()
}

// first is how long a program took to its first frame.
func (l *line) first() time.Duration {
	return l.painted(l.until(fmt.Sprintf("1/%d", steps), 0, patience)).Sub(l.started)
}

// painted is when a frame had come whole of which something came at a time; what comes later than half a tick of the renderer is another.
func (l *line) painted(at time.Time) time.Time {
	time.Sleep(time.Second / frames / 2)
	l.mu.Lock()
	defer l.mu.Unlock()
	for _, c := range l.chunks {
		if c.at.After(at) && c.at.Sub(at) < time.Second/frames/2 {
			at = c.at
		}
	}
	return at
}

// leave ends a program by its key.
func (l *line) leave() {
	l.write("q")
	require.NoError(l.t, l.end())
	l.close()
}

// rest waits for a random time.
func rest(least, most time.Duration) { time.Sleep(least + rand.N(most-least)) }

// rest measures the idle load.
func (m *measured) rest(b *testing.B, l *line) {
	b.Helper()
	time.Sleep(settled)
	from, began := processor(b, l.cmd.Process.Pid), time.Now()
	time.Sleep(quiet)
	m.idleProcessor += processor(b, l.cmd.Process.Pid) - from
	m.idleMeasured += time.Since(began)
}

// percentile is the smallest value that p percent of them do not exceed.
func percentile(all []time.Duration, p int) time.Duration {
	sorted := slices.Sorted(slices.Values(all))
	return sorted[max((len(sorted)*p+99)/100, 1)-1]
}

// memory is a figure of a process's memory, in MB of a million bytes.
func memory(b testing.TB, pid int, name string) float64 {
	b.Helper()
	data, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	require.NoError(b, err)
	_, after, ok := strings.Cut(string(data), name+":")
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
