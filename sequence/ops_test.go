package sequence_test

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Who may say what an op means: the racket's Apply, the planner, which writes ops, and the referee, which has rules of its
// own. The others here only write an op down or put words to it.
func mayRead(file string) bool {
	return path.Dir(file) == "sequence" || path.Dir(file) == "sequence/referee" || slices.Contains([]string{
		"sequence/plan/apply.go",
		"sequence/plan/op.go", "sequence/plan/fields.go", "sequence/plan/fingerprint.go", // how it is written down
		"sequence/plan/plan.go", // which of a step's ops is its pull, its knot
		"sequence/act/act.go", "sequence/act/hands.go", "sequence/act/ahead.go", "sequence/ticket/csv.go", "tui/bench/lesson.go",
		"sequence/contrast/contrast.go", "sequence/contrast/gather.go", // held against another, op by op
	}, file)
}

const planPath = `"pullcard/sequence/plan"`

// readings are the places of a file where it asks for the kind of an op or names one other than to write it.
func readings(set *token.FileSet, f *ast.File, kinds map[string]bool) (out []string) {
	name := ""
	if f.Name.Name != "plan" {
		at := slices.IndexFunc(f.Imports, func(i *ast.ImportSpec) bool { return i.Path.Value == planPath })
		if at < 0 {
			return nil
		}
		if name = "plan"; f.Imports[at].Name != nil {
			name = f.Imports[at].Name.Name
		}
	}
	written := map[ast.Node]bool{}
	ast.Inspect(f, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.KeyValueExpr:
			if k, ok := n.Key.(*ast.Ident); ok && k.Name == "Op" {
				written[n.Value] = true
			} else if ok && k.Name == "Fault" {
				written[k] = true // the field, which is called as a kind is
			}
		case *ast.SelectorExpr:
			written[n.Sel] = true // a field or method, if it is none of the package's
			x, _ := n.X.(*ast.Ident)
			kind := x != nil && x.Name == name && kinds[n.Sel.Name]
			if !written[n] && kind || n.Sel.Name == "Op" && (x == nil || x.Name != name) {
				out = append(out, set.Position(n.Pos()).String())
			}
		case *ast.Ident:
			if name == "" && kinds[n.Name] && n.Obj == nil && !written[n] {
				out = append(out, set.Position(n.Pos()).String())
			}
		}
		return true
	})
	return out
}

// kinds are the names of the kinds of op, as the plan's source has them.
func kinds(t *testing.T) map[string]bool {
	out := map[string]bool{}
	f, err := parser.ParseFile(token.NewFileSet(), "plan/op.go", nil, 0)
	require.NoError(t, err)
	for _, d := range f.Decls {
		g, ok := d.(*ast.GenDecl)
		if !ok || g.Tok != token.CONST {
			continue
		}
		for _, s := range g.Specs {
			v := s.(*ast.ValueSpec)
			if of, ok := v.Type.(*ast.Ident); ok && of.Name == "OpKind" {
				out[v.Names[0].Name] = true
			}
		}
	}
	return out
}

// What an op means stands in one place: nobody else asks for its kind.
func TestOpsMeanOneThing(t *testing.T) {
	all := kinds(t)
	require.Len(t, all, 22)
	files, asked := 0, map[string]bool{}
	require.NoError(t, filepath.WalkDir("..", func(file string, d fs.DirEntry, err error) error {
		file = strings.TrimPrefix(filepath.ToSlash(file), "../")
		switch {
		case err != nil:
			return err
		case d.IsDir() && (d.Name() == "testdata" || strings.HasPrefix(d.Name(), ".") && d.Name() != ".."):
			return filepath.SkipDir
		case d.IsDir() || !strings.HasSuffix(file, ".go") || strings.HasSuffix(file, "_test.go"):
			return nil
		}
		files++
		set := token.NewFileSet()
		f, err := parser.ParseFile(set, filepath.Join("..", file), nil, 0)
		if err != nil {
			return err
		}
		found := readings(set, f, all)
		asked[file] = len(found) > 0
		if !mayRead(file) {
			assert.Empty(t, found, "%s gives ops a meaning of its own; plan.Racket says what they mean", file)
		}
		return nil
	}))
	assert.Greater(t, files, 300)
	for _, file := range []string{"sequence/plan/apply.go", "sequence/act/act.go", "sequence/referee/table.go", "sequence/planner.go"} {
		assert.True(t, asked[file], "%s is seen to ask", file)
	}
}

func TestReadingsAreFound(t *testing.T) {
	for body, want := range map[string]int{
		`if o.Op == plan.Pull { }`:                            2,
		`switch o.Op { case plan.Cut, plan.Tie: }`:            3,
		`if o.Op == "pull" { }`:                               1,
		`_ = map[plan.Do]int{plan.Weave: 1}`:                  1,
		`do(plan.Slacken)`:                                    1,
		`r.Apply(&plan.Op{Op: plan.Fault, Strand: o.Strand})`: 0,
		`_ = []plan.Op{{Op: plan.ClampOn}}`:                   0,
		`_ = plan.A`:                                          0,
	} {
		set := token.NewFileSet()
		f, err := parser.ParseFile(set, "x.go", fmt.Sprintf("package x\nimport %s\nfunc f() { %s }", planPath, body), 0)
		require.NoError(t, err)
		assert.Len(t, readings(set, f, kinds(t)), want, "%s", body)
	}
}
