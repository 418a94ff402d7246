// Package terminal is the keyboard of the terminal on which the screens are shown, made fit for a bench: what nobody typed is
// taken out of it, and the terminal is asked for its colours without anybody waiting for the answer.
//
// Make a Keyboard with New, give it to the program as its input and call Serve.
package terminal

import (
	"bytes"
	"os"
	"time"
	"unicode/utf8"

	tea "github.com/charmbracelet/bubbletea"
)

// Keyboard is the keyboard with what nobody types key by key taken out of it: a paste, in brackets or without. It goes to the
// screens as one piece of text, which is typed where text is typed and dropped everywhere else.
//
// Bubbletea knows pastes in brackets only, and waits for their end for ever.
type Keyboard struct {
	*background
	Pressed func() // told when something was typed, before it goes to the program; nil for nobody
	now     func() time.Time
	send    func(tea.Msg) // where a paste goes; nil while there is nobody
	inside  bool          // of the brackets of a paste
	rest    []byte        // the beginning of a letter, of a key or of a bracket, which a read may cut
	last    time.Time     // when the last piece of a burst had been handed over, zero when it was none
}

// New is a keyboard that reads a terminal; now is the clock.
func New(f *os.File, now func() time.Time) *Keyboard {
	return &Keyboard{background: &background{File: f}, now: now}
}

// Serve sends what is pasted to a program.
func (b *Keyboard) Serve(p *tea.Program) { b.send = p.Send }

// AskBackground asks the terminal once the program has taken it, and tells when its background is light.
func (b *Keyboard) AskBackground(p *tea.Program, light func()) {
	b.light = light
	go b.ask(p)
}

const (
	// many is how many key events in one read make a burst: nobody types so quickly.
	many = 4
	// lull is how long the keyboard is quiet after a burst at least; what comes before still belongs to it.
	lull = 100 * time.Millisecond
	// endless is after what time of quiet a paste has ended although its closing bracket has not come.
	endless = 2 * time.Second

	opening = "\x1b[200~"
	closing = "\x1b[201~"
	ctrlC   = 3
)

// Read reads keys. Of a burst nothing comes out; it is sent as a paste, which has been taken when Read returns.
func (b *Keyboard) Read(p []byte) (int, error) {
	n, err := b.background.Read(p)
	if n > 0 && b.Pressed != nil {
		b.Pressed()
	}
	if b.send == nil || n == 0 {
		return n, err
	}
	quiet := b.now().Sub(b.last)
	if b.inside && quiet > endless {
		b.inside = false
	}
	if quiet > endless {
		b.rest = nil
	}
	read := append(b.rest, p[:n]...)
	bracketed := b.inside || bytes.Contains(read, []byte(opening))
	s := scan(read, b.inside)
	if allSame(p[:n], ctrlC) || !bracketed && s.events < many && quiet > lull {
		b.rest = nil
		return n, err
	}
	b.inside, b.rest = s.inside, s.rest
	b.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: s.text, Paste: true})
	b.last = b.now()
	if bracketed && !b.inside {
		b.last = time.Time{} // its end was said
	}
	return 0, err
}

// allSame says whether all bytes are the same one.
func allSame(p []byte, c byte) bool { return len(bytes.Trim(p, string(rune(c)))) == 0 }

// scanned is what bytes of a keyboard come to.
type scanned struct {
	events int    // keys; an escape sequence is one
	text   []rune // what they write; line ends and tabs are blanks, other controls nothing
	inside bool   // whether a paste goes on behind them
	rest   []byte // what is cut at the end
}

// scan takes bytes of a keyboard apart.
func scan(b []byte, inside bool) scanned {
	s := scanned{inside: inside}
	for len(b) > 0 {
		n := event(b)
		if n == 0 {
			s.rest = bytes.Clone(b)
			s.events++
			return s
		}
		switch one := string(b[:n]); {
		case one == opening:
			s.inside = true
		case one == closing:
			s.inside = false
		default:
			s.events++
			s.write(b[:n])
		}
		b = b[n:]
	}
	return s
}

// write takes the letter that an event is, if it is one.
func (s *scanned) write(one []byte) {
	switch r, size := utf8.DecodeRune(one); {
	case r == '\r' || r == '\n' || r == '\t':
		s.text = append(s.text, ' ')
	case r < ' ' || r == 0x7f || size < len(one) || r == utf8.RuneError && size == 1:
	default:
		s.text = append(s.text, r)
	}
}

// event is how many bytes the first key of some is; 0 when it is cut. A lone escape is a key.
func event(b []byte) int {
	if b[0] != '\x1b' {
		if !utf8.FullRune(b) {
			return 0
		}
		_, n := utf8.DecodeRune(b)
		return n
	}
	switch {
	case len(b) == 1:
		return 1
	case b[1] == 'O' && len(b) > 2:
		return 3
	case b[1] == '[':
		return control(b)
	case b[1] == '\x1b' || b[1] < ' ':
		return 1
	}
	return 1 + max(event(b[1:]), 1) // a letter with alt
}

// control is how many bytes the control sequence is that some begin with (ECMA-48, 5.4: parameters, intermediates, one final
// byte); 0 when it is cut. The Linux console's function keys have a second bracket before their letter.
func control(b []byte) int {
	for i := 2; i < len(b); i++ {
		switch c := b[i]; {
		case i == 2 && c == '[':
		case c >= 0x40 && c <= 0x7e:
			return i + 1
		case c < 0x20 || c > 0x3f:
			return i // no sequence after all
		}
	}
	return 0
}
