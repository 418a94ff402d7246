package referee

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/plan"
)

// checks are the words of every check of the package, as its source has them.
func checks(t testing.TB) (words []string) {
	names, err := filepath.Glob("*.go")
	require.NoError(t, err)
	for _, name := range names {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
		require.NoError(t, err)
		ast.Inspect(f, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok {
				return true
			}
			if sel, ok := call.Fun.(*ast.SelectorExpr); ok && sel.Sel.Name == "breach" && len(call.Args) > 1 {
				words = append(words, literal(t, call.Args[1]))
			}
			return true
		})
	}
	return words
}

func literal(t testing.TB, e ast.Expr) string {
	if sum, ok := e.(*ast.BinaryExpr); ok {
		return literal(t, sum.X) + literal(t, sum.Y)
	}
	lit, ok := e.(*ast.BasicLit)
	require.True(t, ok, "the words of a check are a literal")
	s, err := strconv.Unquote(lit.Value)
	require.NoError(t, err)
	return s
}

var verb = regexp.MustCompile(`%[sdqgc]`)

// sayings matches what a check says.
func sayings(words string) *regexp.Regexp {
	return regexp.MustCompile(`: rule \d+: ` + verb.ReplaceAllString(strings.ReplaceAll(regexp.QuoteMeta(words), "%%", "%"), "(?s:.+)") + "$")
}

// offence is a named plan that breaks a rule, and what is said of it.
type offence struct {
	name string
	plan *plan.Plan
	says string
}

// offences are all plans by hand that break a rule, on the straight way, in a way back and in their terms.
func offences(t testing.TB) (all []offence) {
	s := samples(t)
	for _, v := range violations {
		all = append(all, offence{v.name, v.plan(t, s), v.says})
	}
	for _, b := range blunders {
		all = append(all, offence{b.name, b.plan(t, s), b.says})
	}
	for _, c := range badTerms {
		p := find(t, samples(t), "clamp L head ahead")
		c.edit(&p.Terms)
		breaches := Check(p)
		require.NotEmpty(t, breaches, c.name)
		all = append(all, offence{c.name, p, breaches[0].String()})
	}
	return all
}

// Every check of the referee, switched off, fails a named case of these tests.
func TestEveryCheckIsNeeded(t *testing.T) {
	all, needed := offences(t), map[string]bool{}
	words := checks(t)
	require.Greater(t, len(words), 100)
	for _, w := range words {
		pattern := sayings(w)
		for _, o := range all {
			if !pattern.MatchString(o.says) || needed[w] {
				continue
			}
			var said []string
			for _, b := range checkWithout(o.plan, w) {
				said = append(said, b.String())
			}
			needed[w] = !slices.Contains(said, o.says)
		}
		assert.True(t, needed[w], "no case fails without the check that says %q", w)
	}
}
