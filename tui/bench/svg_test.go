package bench

import (
	"encoding/xml"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/muesli/termenv"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The README's pictures are what the bench paints, put into SVG: go test ./tui/bench -run Pictures -update
func TestPictures(t *testing.T) {
	for _, c := range []struct {
		name, theme string
		done        int
		w, h        int
	}{{"bench", "dark", 33, 120, 40}, {"bench-light", "light", 18, 80, 24}} {
		r := newRig(t, "club-sixteen", "two-piece-skip").times(c.done, "space")
		r.m = r.m.SetTheme(plain(t, c.theme, termenv.TrueColor)).SetSize(c.w, c.h)
		got := svg(r.m.View(), c.w, c.h)
		path := filepath.Join("..", "..", "testdata", "pictures", c.name+".svg")
		if *update {
			require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
			require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
		}
		want, err := os.ReadFile(path)
		require.NoError(t, err)
		assert.Equal(t, string(want), got, "the picture is not what the bench paints now; write it anew with -update")
		require.NoError(t, xml.Unmarshal([]byte(got), new(any)))
	}
}

var sgr = regexp.MustCompile("\x1b\\[([0-9;]*)m")

// svg puts a painted frame into SVG, run of cells by run of cells.
func svg(frame string, w, h int) string {
	const cw, ch = 9, 19
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" font-family="DejaVu Sans Mono, Menlo, Consolas, monospace" font-size="15" xml:space="preserve">`+"\n", w*cw, h*ch)
	for y, line := range strings.Split(frame, "\n") {
		fg, bg, bold := "#dddddd", "none", false
		x := 0
		for line != "" {
			at := sgr.FindStringSubmatchIndex(line)
			text := line
			if at != nil {
				text = line[:at[0]]
			}
			if n := len([]rune(text)); n > 0 {
				if bg != "none" {
					fmt.Fprintf(&b, `<rect x="%d" y="%d" width="%d" height="%d" fill="%s"/>`, x*cw, y*ch, n*cw, ch, bg)
				}
				if strings.TrimSpace(text) != "" {
					weight := ""
					if bold {
						weight = ` font-weight="bold"`
					}
					fmt.Fprintf(&b, `<text x="%d" y="%d" textLength="%d" fill="%s"%s>`, x*cw, y*ch+15, n*cw, fg, weight)
					_ = xml.EscapeText(&b, []byte(text))
					b.WriteString("</text>")
				}
				x += n
			}
			if at == nil {
				break
			}
			fg, bg, bold = colours(line[at[2]:at[3]], fg, bg, bold)
			line = line[at[1]:]
		}
		b.WriteString("\n")
	}
	b.WriteString("</svg>\n")
	return b.String()
}

// colours follows one SGR sequence.
func colours(codes, fg, bg string, bold bool) (string, string, bool) {
	p := strings.Split(codes, ";")
	for i := 0; i < len(p); i++ {
		switch p[i] {
		case "", "0":
			fg, bg, bold = "#dddddd", "none", false
		case "1":
			bold = true
		case "38", "48":
			if i+4 < len(p) {
				var rgb [3]int
				for j := range rgb {
					rgb[j], _ = strconv.Atoi(p[i+2+j])
				}
				c := fmt.Sprintf("#%02x%02x%02x", rgb[0], rgb[1], rgb[2])
				if p[i] == "38" {
					fg = c
				} else {
					bg = c
				}
				i += 4
			}
		}
	}
	return fg, bg, bold
}
