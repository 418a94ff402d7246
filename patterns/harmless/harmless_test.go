package harmless

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	_ "pullcard/patterns/sweep" // for what is drawn
)

// The names of the characters are those of the Unicode Character Database.
func TestText(t *testing.T) {
	for in, want := range map[string]string{
		"Zoë · 松 🎾 e\u0301":      "Zoë · 松 🎾 e\u0301",
		"a\x1b[31mb":             "a<U+001B>[31mb",
		"a\x7fb\u0085c\u009b1m":  "a<U+007F>b<U+0085>c<U+009B>1m", // DELETE, NEXT LINE, CONTROL SEQUENCE INTRODUCER
		"a\u202eb\u2066c\u061cd": "a<U+202E>b<U+2066>c<U+061C>d",  // RIGHT-TO-LEFT OVERRIDE, LEFT-TO-RIGHT ISOLATE, ARABIC LETTER MARK
		"A\u200bd\ufeffa\u2060":  "A<U+200B>d<U+FEFF>a<U+2060>",   // ZERO WIDTH SPACE, ZERO WIDTH NO-BREAK SPACE, WORD JOINER
		"A\u200cd\u200da":        "A<U+200C>d<U+200D>a",           // ZERO WIDTH NON-JOINER, ZERO WIDTH JOINER: do nothing in Latin
		"A\U000e0041\U000e007f":  "A<U+E0041><U+E007F>",           // TAG LATIN CAPITAL LETTER A, CANCEL TAG
		"a\u00adb\u3164c\ufe0f":  "a<U+00AD>b<U+3164>c<U+FE0F>",   // SOFT HYPHEN, HANGUL FILLER, VARIATION SELECTOR-16
		"a\nb\u2028c":            "a<U+000A>b<U+2028>c",
		"می\u200cخواهم ☀\ufe0f":  "می\u200cخواهم ☀\ufe0f", // a Persian word is spelled with it; a sun in colours
		"\u0600\u0661":           "\u0600\u0661",          // ARABIC NUMBER SIGN is seen
		"a\xffb":                 "a\ufffdb",
	} {
		assert.Equal(t, want, Text(in))
		assert.Equal(t, Text(in), Text(Text(in)), "once is enough")
	}
	assert.Equal(t, "a\n\tb<U+001B>\nc", Page("a\n\tb\x1b\r\nc"))
}

// strange is text with characters that are obeyed, and others.
func strange() *rapid.Generator[string] {
	return rapid.StringOf(rapid.OneOf(rapid.Rune(), rapid.SampledFrom([]rune("=+-@'\"<>U00\\,;\n\r\t \x1b\x7f\u0085\u009b\u200b\u200c\u200d\u202e\u2028\ufeff\U000e0041\ufe0f"))))
}

func TestTextIsSeen(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := strange().Draw(t, "text")
		for _, r := range Text(text) {
			if r != '\u200c' && r != '\u200d' && r != '\ufe0e' && r != '\ufe0f' {
				require.False(t, hidden(r), "%q", r)
			}
		}
	})
}

// Every character of the categories that terminals and writers of lines obey is among the hidden ones.
func TestHiddenHasAllThatIsObeyed(t *testing.T) {
	for r := rune(0); r <= unicode.MaxRune; r++ {
		if unicode.In(r, unicode.Cc, unicode.Zl, unicode.Zp, unicode.Bidi_Control, unicode.Join_Control, unicode.Variation_Selector) {
			require.True(t, hidden(r), "%U", r)
		}
		if unicode.In(r, unicode.Lu, unicode.Ll, unicode.N, unicode.Zs, unicode.So) {
			require.False(t, hidden(r), "%U", r)
		}
	}
}

func TestXML(t *testing.T) {
	assert.Equal(t, "&lt;a&gt; &amp; b&lt;U+202E&gt;", XML("<a> & b\u202e"))
	rapid.Check(t, func(t *rapid.T) {
		text := strange().Draw(t, "text")
		var back struct {
			Text string `xml:",chardata"`
		}
		require.NoError(t, xml.Unmarshal([]byte("<a>"+XML(text)+"</a>"), &back))
		require.Equal(t, strings.Map(allowed, Text(text)), back.Text)
	})
}

// allowed replaces what XML 1.0 has no way to write (section 2.2).
func allowed(r rune) rune {
	if r == 0xfffe || r == 0xffff {
		return utf8.RuneError
	}
	return r
}

func TestJSON(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, WriteJSON(&b, []string{"a\u009bb\x7f\u202e<\U000e0041", "Zoë"}, "  "))
	assert.Equal(t, "[\n  \"a\\u009bb\\u007f\\u202e<\\udb40\\udc41\",\n  \"Zoë\"\n]\n", b.String())
	rapid.Check(t, func(t *rapid.T) {
		want := map[string]string{strange().Draw(t, "key"): strange().Draw(t, "text")}
		var b bytes.Buffer
		require.NoError(t, WriteJSON(&b, want, rapid.SampledFrom([]string{"", "  "}).Draw(t, "indent")))
		require.False(t, strings.ContainsFunc(b.String(), escaped))
		require.Equal(t, b.Bytes(), EscapeJSON(b.Bytes()), "once is enough")
		var back map[string]string
		require.NoError(t, json.Unmarshal(b.Bytes(), &back))
		require.Equal(t, want, back)
	})
}

func TestCSV(t *testing.T) {
	var b bytes.Buffer
	row := []string{"=1+1", "-2.5", "-2+3", "+49 170", "  @x", "'=1", "it's", "'n", "\t=1", "＝1", "a\x1b", "<U+001B>", "a\r\nb", "", "Ada"}
	require.NoError(t, WriteCSV(&b, [][]string{row}))
	assert.Equal(t, "'=1+1,-2.5,'-2+3,'+49 170,'  @x,''=1,it's,'n,'\t=1,'＝1,a<U+001B>,<U+003C>U+001B>,\"a<U+000D>\nb\",,Ada\n", b.String())
	rapid.Check(t, func(t *rapid.T) {
		cells := rapid.SliceOfN(strange(), 2, 5)
		want := rapid.SliceOfN(cells, 1, 4).Draw(t, "rows")
		var b bytes.Buffer
		require.NoError(t, WriteCSV(&b, want))
		require.False(t, strings.ContainsFunc(b.String(), func(r rune) bool { return unicode.IsControl(r) && r != '\n' && r != '\t' }))
		back, _, err := ReadCSV(&b)
		require.NoError(t, err)
		require.Equal(t, want, back)
	})
	rows, _, err := ReadCSV(strings.NewReader("\ufeff\"a\",b\r\n\"c\r\nd\"\r\n"))
	require.NoError(t, err)
	assert.Equal(t, [][]string{{"a", "b"}, {"c\nd"}}, rows, "as spreadsheets write it")
	_, _, err = ReadCSV(strings.NewReader("a,\"b\nc"))
	assert.ErrorContains(t, err, "line 2")
}

func FuzzReadCSV(f *testing.F) {
	f.Add("'=1,\"a\"\"b\"\n<U+001B>,''x\n")
	f.Fuzz(func(t *testing.T, text string) {
		rows, _, err := ReadCSV(strings.NewReader(text))
		if err != nil || !utf8.ValidString(text) {
			return
		}
		for i := range rows {
			rows[i] = append(rows[i], "end") // a row of one empty cell is no row
		}
		var b bytes.Buffer
		require.NoError(t, WriteCSV(&b, rows))
		back, _, err := ReadCSV(&b)
		require.NoError(t, err)
		if len(rows) > 0 {
			require.Equal(t, rows, back)
		}
	})
}
