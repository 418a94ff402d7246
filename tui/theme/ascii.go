package theme

import (
	"strings"
	"unicode"

	"github.com/mattn/go-runewidth"
	"golang.org/x/text/unicode/norm"
)

// ASCII writes a frame with ASCII characters only, each as wide as what it stands for: the program's own signs become
// such as say the same, letters lose their accents, and what is left becomes a question mark.
func ASCII(frame string) string {
	plain := true
	for i := 0; i < len(frame) && plain; i++ {
		plain = frame[i] < 0x80
	}
	if plain {
		return frame
	}
	var b strings.Builder
	b.Grow(len(frame))
	for _, r := range frame {
		switch {
		case r < 0x80:
			b.WriteRune(r)
		case signs(r) != 0:
			b.WriteByte(signs(r))
		default:
			b.WriteString(letter(r))
		}
	}
	return b.String()
}

// signs are the program's own, one cell each, every one before what stands for it.
func signs(r rune) byte {
	const pairs = "▁_▂.▃-▄=▅+▆*▇%█#✓*→>←<↑^↓v▶>◁<△^▽v▲^▼v…~•|·.─-━=│|┃|╌-┄-┈.╎|┊:╏|◆X●o○o◇o×x■#□o»>«<−-–-“\"”\"°d⌫<≥>≤<"
	all := []rune(pairs)
	for i := 0; i < len(all); i += 2 {
		if all[i] == r {
			return byte(all[i+1])
		}
	}
	return 0
}

// letter is a letter without its accent, or as many question marks as it is wide.
func letter(r rune) string {
	base := []rune(norm.NFKD.String(string(r)))[0]
	if base < 0x80 && !unicode.IsControl(base) && runewidth.RuneWidth(r) == 1 {
		return string(base)
	}
	return strings.Repeat("?", runewidth.RuneWidth(r))
}
