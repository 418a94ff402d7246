package records

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"reflect"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// agree says that a type has the fields of its kind, in the same order, and that nothing is lost on the way to it and back.
func agree[R Typed](t *testing.T, n Name) {
	t.Helper()
	var r R
	var has, says []string
	full := Fields{}
	has = append(has, keys()[reflect.TypeOf(r)]...)
	for _, f := range kind(t, n).Fields {
		says = append(says, f.Key)
		full[f.Key] = "of " + f.Key
	}
	assert.Equal(t, says, has, n)
	assert.Equal(t, full, Texts(As[R](full)))
	assert.Empty(t, Texts(r))
	assert.Empty(t, Changed(As[R](full), As[R](full)))
}

func TestTypesHaveTheFieldsOfTheTable(t *testing.T) {
	agree[Player](t, KindPlayer)
	agree[Racket](t, KindRacket)
	agree[Stock](t, KindStock)
	agree[Cut](t, KindCut)
	agree[Stocktaking](t, KindStocktaking)
	agree[Machine](t, KindMachine)
	agree[Gauge](t, KindGauge)
	agree[Stringer](t, KindStringer)
	agree[Lot](t, KindLot)
	agree[Job](t, KindJob)
	agree[Reading](t, KindReading)
	agree[Hoop](t, KindHoop)
	agree[Verdict](t, KindVerdict)
	agree[Baseline](t, KindBaseline)
	agree[Frame](t, KindFrame)
	agree[Sheet](t, KindSheet)
	assert.Len(t, Kinds(), 16, "each is above")
}

func TestKey(t *testing.T) {
	var j Job
	assert.Equal(t, "crosses", Key(&j, &j.Crosses))
	assert.Equal(t, "tension", Key(&j, &j.Tension))
	var other Job
	assert.Panics(t, func() { Key(&j, &other.Crosses) })
}

func TestAmend(t *testing.T) {
	got, err := Amend(Fields{"racket": "u1", "notes": ""}, func(j *Job) error {
		j.Player, j.Racket = "u2", ""
		return nil
	})
	require.NoError(t, err)
	assert.Equal(t, Fields{"racket": "", "player": "u2", "notes": ""}, got, "what is taken away stays said")
}

func TestChangedSaysWhatWentToo(t *testing.T) {
	assert.Equal(t, Fields{"parked": "", "notes": "fetched"}, Changed(Job{Parked: Parked, Frame: "x"}, Job{Notes: "fetched", Frame: "x"}))
}

func TestKindsAreMadeOnce(t *testing.T) {
	assert.Same(t, &Kinds()[0].Fields[0], &Kinds()[0].Fields[0])
	assert.Zero(t, testing.AllocsPerRun(100, func() { _, _ = Find(KindVerdict) }))
	clear(Kinds()) // is nobody else's
	_, ok := Find(KindPlayer)
	assert.True(t, ok)
}

// Nobody but this package writes the name of a field as a text: neither where a field is taken out of a map, nor in a map of
// fields, nor in a query. The scripts of the book's schema stand apart: they are never changed, whatever the table says.
func TestNoLiteralFieldNames(t *testing.T) {
	known := map[string]bool{}
	for _, k := range Kinds() {
		for _, f := range k.Fields {
			known[f.Key] = true
		}
	}
	root := filepath.Join("..", "..")
	looked := 0
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") ||
			strings.HasSuffix(path, filepath.Join("book", "schema.go")) || filepath.Dir(path) == filepath.Join(root, "sequence", "records") {
			return err
		}
		places := token.NewFileSet()
		file, err := parser.ParseFile(places, path, nil, parser.SkipObjectResolution)
		if err != nil || !imports(file) {
			return err
		}
		looked++
		for _, at := range literals(file, known) {
			assert.Fail(t, "a field's name as a text", "%s: %s", places.Position(at.Pos()), at.Value)
		}
		return nil
	})
	require.NoError(t, err)
	assert.Greater(t, looked, 20)
}

func imports(file *ast.File) bool {
	for _, i := range file.Imports {
		if i.Path.Value == `"pullcard/sequence/records"` {
			return true
		}
	}
	return false
}

// literals are the field names in a file that are texts.
func literals(file *ast.File, known map[string]bool) (out []*ast.BasicLit) {
	is := func(e ast.Expr) {
		if l, ok := e.(*ast.BasicLit); ok && l.Kind == token.STRING {
			if text, err := strconv.Unquote(l.Value); err == nil && known[text] {
				out = append(out, l)
			}
		}
	}
	query := regexp.MustCompile(`'\$\.([a-z]+)'`)
	ast.Inspect(file, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.IndexExpr:
			is(n.Index)
		case *ast.BinaryExpr:
			if s, ok := n.X.(*ast.SelectorExpr); ok && s.Sel.Name == "Key" {
				is(n.Y)
			}
		case *ast.CompositeLit:
			if list, ok := n.Type.(*ast.ArrayType); ok && list.Len == nil && len(n.Elts) > 1 {
				for _, e := range n.Elts {
					is(e)
				}
			}
			if !mapOfTexts(n.Type) {
				return true
			}
			for _, e := range n.Elts {
				if kv, ok := e.(*ast.KeyValueExpr); ok {
					is(kv.Key)
				}
			}
		case *ast.BasicLit:
			// A plan's document has names of its own.
			if m := query.FindStringSubmatch(n.Value); m != nil && known[m[1]] && !strings.Contains(n.Value, "JOIN plans") {
				out = append(out, n)
			}
		}
		return true
	})
	return out
}

func mapOfTexts(e ast.Expr) bool {
	switch e := e.(type) {
	case *ast.SelectorExpr:
		return e.Sel.Name == "Fields"
	case *ast.MapType:
		k, ok := e.Key.(*ast.Ident)
		return ok && k.Name == "string"
	}
	return false
}

// The test above can fail.
func TestLiteralsAreFound(t *testing.T) {
	file, err := parser.ParseFile(token.NewFileSet(), "x.go", `package x
var _ = f["player"]
var _ = records.Fields{"racket": uid, "no": ""}
var _ = map[string]string{"mark": ""}
var _ = field.Key == "text"
var _ = "SELECT body ->> '$.stringer'"
var _ = f["no"]
var _ = []string{"lot", "no"}
`, 0)
	require.NoError(t, err)
	found := literals(file, map[string]bool{"player": true, "racket": true, "mark": true, "text": true, "stringer": true, "lot": true})
	var texts []string
	for _, l := range found {
		texts = append(texts, l.Value)
	}
	assert.ElementsMatch(t, []string{`"player"`, `"racket"`, `"mark"`, `"text"`, `"SELECT body ->> '$.stringer'"`, `"lot"`}, texts)
}
