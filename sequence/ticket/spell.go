package ticket

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"pullcard/patterns/harmless"
	"pullcard/sequence/report"
)

// glue is a space at which no line is broken. Data never brings one in; it is written as a plain space.
const glue = '\u00a0'

// longest is how many characters of a name, a note or an act are printed.
const longest = 240

// safe makes text from people or files harmless: what cannot be seen is shown as its number, every kind of space becomes
// a plain one, and what goes on for too long is cut.
func safe(text string) string {
	n := 0
	var b strings.Builder
	for _, r := range harmless.Text(text) {
		if n++; n > longest {
			b.WriteRune('…')
			break
		}
		if unicode.IsSpace(r) {
			r = ' '
		}
		b.WriteRune(r)
	}
	return strings.TrimSpace(b.String())
}

// bindUnits keeps every number with its unit on one line.
func bindUnits(text string) string {
	var b strings.Builder
	before := ""
	for i, word := range strings.Split(text, " ") {
		switch {
		case i == 0:
		case report.IsUnit(before, word):
			b.WriteRune(glue)
		default:
			b.WriteByte(' ')
		}
		b.WriteString(word)
		before = word
	}
	return b.String()
}

// speller writes text with the characters that a print has.
type speller struct {
	has    func(rune) bool
	lost   rune            // stands for a character that cannot be spelled
	plain  map[rune]string // other spellings
	missed bool            // lost was used
}

func newSpeller(lost rune, has func(rune) bool) *speller {
	return &speller{has: has, lost: lost, plain: spellings()}
}

// newPlain spells with what every receipt printer has, the printable characters of ASCII.
func newPlain() *speller {
	return newSpeller('?', func(r rune) bool { return r >= ' ' && r <= '~' || r == glue })
}

// spell keeps the characters that there are, spells others plainly or takes their accents off, and marks the rest.
func (s *speller) spell(text string) string {
	var b strings.Builder
	for _, r := range norm.NFC.String(text) {
		switch plain, ok := s.plain[r]; {
		case s.has(r):
			b.WriteRune(r)
		case ok:
			b.WriteString(s.all(plain))
		case unicode.Is(unicode.M, r) || unicode.Is(unicode.Cf, r): // accents and joiners go
		default:
			b.WriteString(s.taken(r))
		}
	}
	return b.String()
}

// all is a spelling unless it has characters that there are not either.
func (s *speller) all(plain string) string {
	if strings.ContainsFunc(plain, func(r rune) bool { return !s.has(r) }) {
		s.missed = true
		return string(s.lost)
	}
	return plain
}

// taken is what is left of a character without accents and other dress.
func (s *speller) taken(r rune) string {
	var b strings.Builder
	for _, d := range norm.NFKD.String(string(r)) {
		switch plain, ok := s.plain[d]; {
		case s.has(d):
			b.WriteRune(d)
		case ok:
			b.WriteString(s.all(plain))
		}
	}
	if b.Len() == 0 {
		s.missed = true
		return string(s.lost)
	}
	return b.String()
}

// spellings are how letters without accents to take off are written plainly: Latin ones as their languages do at need,
// Greek ones by ISO 843 and Cyrillic ones by the British standard's habit, as far as plain letters go; from memory.
func spellings() map[rune]string {
	const table = `ß=ss æ=ae Æ=Ae œ=oe Œ=Oe ø=o Ø=O ł=l Ł=L đ=d Đ=D ð=d Ð=D þ=th Þ=Th ı=i ŋ=ng Ŋ=Ng ħ=h Ħ=H ŧ=t Ŧ=T ə=e Ə=E
		‘=' ’=' ʻ=' ʼ=' “=" ”=" „=" «=" »=" –=- —=- −=- …=... ·=- •=- ×=x →=-> ½=1/2 €=EUR £=GBP °=deg µ=u
		α=a β=v γ=g δ=d ε=e ζ=z η=i θ=th ι=i κ=k λ=l μ=m ν=n ξ=x ο=o π=p ρ=r σ=s ς=s τ=t υ=y φ=f χ=ch ψ=ps ω=o
		Α=A Β=V Γ=G Δ=D Ε=E Ζ=Z Η=I Θ=Th Ι=I Κ=K Λ=L Μ=M Ν=N Ξ=X Ο=O Π=P Ρ=R Σ=S Τ=T Υ=Y Φ=F Χ=Ch Ψ=Ps Ω=O
		а=a б=b в=v г=g д=d е=e ж=zh з=z и=i й=i к=k л=l м=m н=n о=o п=p р=r с=s т=t у=u ф=f х=kh ц=ts ч=ch ш=sh щ=shch
		ъ=" ы=y ь=' э=e ю=yu я=ya є=ye і=i ґ=g ђ=dj ј=j љ=lj њ=nj ћ=c џ=dz ѕ=dz
		А=A Б=B В=V Г=G Д=D Е=E Ж=Zh З=Z И=I Й=I К=K Л=L М=M Н=N О=O П=P Р=R С=S Т=T У=U Ф=F Х=Kh Ц=Ts Ч=Ch Ш=Sh Щ=Shch
		Ъ=" Ы=Y Ь=' Э=E Ю=Yu Я=Ya Є=Ye І=I Ґ=G Ђ=Dj Ј=J Љ=Lj Њ=Nj Ћ=C Џ=Dz Ѕ=Dz`
	out := map[rune]string{}
	for pair := range strings.FieldsSeq(table) {
		r, size := utf8.DecodeRuneInString(pair)
		out[r] = pair[size+1:]
	}
	return out
}
