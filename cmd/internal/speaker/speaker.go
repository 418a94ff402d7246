// Package speaker has a program of the house say what the bench shows: one process for each text, which it gets on its
// standard input. Call New, then Say for each text, then Close.
package speaker

import (
	"context"
	"os/exec"
	"strings"
	"sync"
	"time"
)

// Speaker says one text at a time. Its methods may be called from anywhere and never wait for the program.
type Speaker struct {
	command string
	mu      sync.Mutex
	last    int
	end     context.CancelFunc // of what is being said
	running sync.WaitGroup
}

// New is a speaker that speaks by a command of the shell, as "espeak-ng -s 170".
func New(command string) *Speaker { return &Speaker{command: command, end: func() {}} }

// Say has text number n said and ends what was being said. What comes with a lower number than was said already came too
// late and is not said. A program that is slow, fails or is missing changes nothing of that.
func (s *Speaker) Say(n int, text string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if n <= s.last {
		return
	}
	s.last = n
	s.end()
	ctx, end := context.WithCancel(context.Background())
	s.end = end
	s.running.Add(1)
	go func() {
		defer s.running.Done()
		defer end()
		s.run(ctx, text)
	}()
}

// run is one process from its start to its end.
func (s *Speaker) run(ctx context.Context, text string) {
	cmd := exec.CommandContext(ctx, "sh", "-c", s.command)
	cmd.Stdin = strings.NewReader(text + "\n")
	cmd.WaitDelay = 200 * time.Millisecond
	together(cmd)
	_ = cmd.Run() // a voice that fails is silent, and the bench goes on
}

// Close ends what is being said and waits until the program is gone.
func (s *Speaker) Close() {
	s.mu.Lock()
	s.end()
	s.mu.Unlock()
	s.running.Wait()
}
