package terminal

import (
	"bytes"
	"fmt"
	"os"
	"strings"

	tea "github.com/charmbracelet/bubbletea"
)

// background is the keyboard with one answer of the terminal taken out of it: what colour its background is. The question goes
// out once the screen is up and nobody waits for the answer.
type background struct {
	*os.File
	light func() // told once when the background is light; nil when nothing was asked
	held  []byte // the beginning of an answer
}

// Guess is the theme for a terminal that says in COLORFGBG, as "0;15", which colours it has.
func Guess(colorfgbg string) string {
	at := strings.LastIndex(colorfgbg, ";")
	switch bg := colorfgbg[at+1:]; {
	case at < 0:
		return "dark"
	case bg == "7" || bg == "15":
		return "light"
	}
	return "dark"
}

// Answers says whether a terminal of a kind can be asked; the Linux console and dumb ones would show the question.
func Answers(term string) bool {
	return term != "" && term != "dumb" && !strings.HasPrefix(term, "linux")
}

const (
	question = "\x1b]11;?\x1b\\"
	answer   = "\x1b]11;"
)

// ask asks once the program has taken the terminal, which Send waits for.
func (g *background) ask(p *tea.Program) {
	p.Send(nil)
	fmt.Fprint(os.Stdout, question)
}

// Read reads keys. It leaves room for what is held, so that no key stays behind; an answer is far shorter than the
// room that bubbletea gives.
func (g *background) Read(p []byte) (int, error) {
	n, err := g.File.Read(p[:len(p)-len(g.held)])
	if g.light == nil || n == 0 {
		return n, err
	}
	g.held = append(g.held, p[:n]...)
	return copy(p, g.sift()), err
}

// sift takes the answer out of what was read and returns what are keys; the beginning of an answer stays held.
func (g *background) sift() []byte {
	at := bytes.Index(g.held, []byte(answer))
	if at < 0 {
		at = len(g.held) - partialAnswer(g.held)
		keys := bytes.Clone(g.held[:at])
		g.held = g.held[at:]
		return keys
	}
	rest := g.held[at+len(answer):]
	end, size := bytes.IndexByte(rest, '\a'), 1
	if st := bytes.Index(rest, []byte("\x1b\\")); end < 0 || st >= 0 && st < end {
		end, size = st, 2
	}
	if end < 0 && len(rest) < 40 {
		keys := bytes.Clone(g.held[:at])
		g.held = g.held[at:]
		return keys
	}
	keys := g.held
	if end >= 0 {
		if isLight(string(rest[:end])) {
			go g.light()
		}
		keys = append(bytes.Clone(g.held[:at]), rest[end+size:]...)
	}
	g.held, g.light = nil, nil
	return keys
}

// partialAnswer is how many bytes at the end could be the beginning of an answer; a lone escape is a key.
func partialAnswer(b []byte) int {
	for n := min(len(answer)-1, len(b)); n > 1; n-- {
		if strings.HasPrefix(answer, string(b[len(b)-n:])) {
			return n
		}
	}
	return 0
}

// isLight says whether a colour as terminals write it, "rgb:ffff/ffff/ffff", is nearer to white than to black.
func isLight(colour string) bool {
	var r, g, b uint64
	parts := strings.Split(strings.TrimPrefix(colour, "rgb:"), "/")
	if len(parts) != 3 {
		return false
	}
	for i, v := range []*uint64{&r, &g, &b} {
		if _, err := fmt.Sscanf((parts[i] + "00")[:2], "%02x", v); err != nil {
			return false
		}
	}
	return 2126*r+7152*g+722*b > 10000*128
}
