package main

import (
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pullcard/sequence/room/servertest"
)

// BenchmarkKeyInRoom measures the way from key to picture without a room, in one, and in one whose server hangs, in turn so
// that the machine is the same for all.
//
//	p50-ms               without a room
//	room, hanging        the medians in a room and in one that hangs, to that without one
//	room-p99, hanging-p99   the same of the 99th percentiles
func BenchmarkKeyInRoom(b *testing.B) {
	bin, server := build(b), servertest.Start(b)
	url := server.URL("keeper", server.Room(b))
	pullcard := func(args ...string) {
		out, err := exec.Command(bin, args...).CombinedOutput()
		require.NoError(b, err, "%s", out)
	}
	pullcard("room", "open", url)
	books := map[string]string{"alone": filepath.Join(b.TempDir(), "alone.db"), "room": filepath.Join(b.TempDir(), "room.db"), "hanging": filepath.Join(b.TempDir(), "hanging.db")}
	pullcard("room", "join", url, "--as", "K", "--book", books["room"])
	pullcard("room", "join", url, "--as", "H", "--book", books["hanging"])
	all := map[string]*measured{"alone": {}, "room": {}, "hanging": {}}
	for b.Loop() {
		for _, name := range []string{"alone", "room", "hanging"} {
			if name == "hanging" {
				require.NoError(b, server.Signal(syscall.SIGSTOP))
			}
			job := jobFile(b, "job.toml", "blue", "club-sixteen", "two-piece-skip")
			cmd := exec.Command(bin, "bench", "--hold", "1ms", "--book", books[name], job)
			all[name].racket(b, newLine(b, [2]int{80, 24}, nil, cmd), false)
			require.NoError(b, server.Signal(syscall.SIGCONT))
		}
	}
	b.ReportMetric(0, "ns/op") // a whole run says nothing
	ms := func(name string, p int) float64 {
		return float64(percentile(all[name].keys, p)) / float64(time.Millisecond)
	}
	b.ReportMetric(ms("alone", 50), "p50-ms")
	for _, name := range []string{"room", "hanging"} {
		b.ReportMetric(ms(name, 50)/ms("alone", 50), name)
		b.ReportMetric(ms(name, 99)/ms("alone", 99), name+"-p99")
	}
}
