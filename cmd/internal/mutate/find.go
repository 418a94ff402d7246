package main

import (
	"go/ast"
	"go/constant"
	"go/token"
	"go/types"
	"strings"
)

// A point is a place in the source with its mutants, whose IDs follow one another, and the edits that make it switchable.
type point struct {
	mutants []Mutant
	edits   func(first int) []edit
}

// An edit puts a text in the place of some bytes. Of those at one place what closes comes before what opens; the inner one
// closes first, the outer one opens first.
type edit struct {
	at, drop int
	text     string
	closes   bool
	depth    int
}

// A finder walks over a file and notes every point. What the edits call stands in helpers.go.txt.
type finder struct {
	*source
	out    *[]*point
	inFunc string
	sum    uint64 // of the text of that function or variable
	depth  int
	post   ast.Stmt // of the innermost for
	loop   bool     // a continue and a break without a label mean the same loop
}

// Visit implements ast.Visitor; every child gets a finder of its own, which knows where it stands.
func (f finder) Visit(n ast.Node) ast.Visitor {
	f.depth++
	switch n := n.(type) {
	case nil, *ast.ArrayType, *ast.StructType:
		return nil
	case *ast.GenDecl:
		if n.Tok != token.VAR {
			return nil
		}
	case *ast.ValueSpec:
		if f.inFunc == "" {
			f.inFunc, f.sum = n.Names[0].Name, sum(f.text(n))
		}
	case *ast.FuncDecl:
		f.inFunc, f.sum = named(n), sum(f.text(n))
	case *ast.FuncLit:
		f.loop = false
	case ast.Expr:
		if f.constant(n) {
			return nil // what holds it decides about a constant
		}
		f.expr(n)
	case *ast.IfStmt:
		f.cond(n.Cond)
	case *ast.ForStmt:
		f.post, f.loop = n.Post, true
		f.cond(n.Cond)
	case *ast.RangeStmt:
		f.loop = true
	case *ast.SwitchStmt, *ast.TypeSwitchStmt, *ast.SelectStmt:
		f.loop = false
	case *ast.BranchStmt:
		f.branch(n)
	case *ast.AssignStmt:
		f.assign(n)
	case *ast.IncDecStmt:
		f.incDec(n)
	}
	return f
}

func named(n *ast.FuncDecl) string {
	if n.Recv == nil {
		return n.Name.Name
	}
	t := n.Recv.List[0].Type
	if star, ok := t.(*ast.StarExpr); ok {
		t = star.X
	}
	switch generic := t.(type) {
	case *ast.IndexExpr:
		t = generic.X
	case *ast.IndexListExpr:
		t = generic.X
	}
	return t.(*ast.Ident).Name + "." + n.Name.Name
}

func (f finder) note(at ast.Node, was string, is []string, edits func(first int) []edit) {
	p := &point{edits: edits}
	for _, text := range is {
		p.mutants = append(p.mutants, Mutant{Package: f.dir, Func: f.inFunc, Sum: f.sum, Was: was, Is: text, Pos: f.set.Position(at.Pos())})
	}
	*f.out = append(*f.out, p)
}

func (f finder) open(n ast.Node, text string) edit {
	return edit{at: f.offset(n.Pos()), text: text, depth: f.depth}
}

func (f finder) shut(n ast.Node, text string) edit {
	return edit{at: f.offset(n.End()), text: text, closes: true, depth: f.depth}
}

func (f finder) put(at token.Pos, drop int, text string) edit {
	return edit{at: f.offset(at), drop: drop, text: text, depth: f.depth}
}

func (f finder) text(n ast.Node) string {
	return string(f.bytes[f.offset(n.Pos()):f.offset(n.End())])
}

func (f finder) constant(e ast.Expr) bool { return f.info.Types[e].Value != nil }

// basic says whether an expression is of a kind of number or the like.
func (f finder) basic(e ast.Expr, kind types.BasicInfo) bool {
	t := f.info.TypeOf(e)
	if t == nil {
		return false
	}
	b, ok := t.Underlying().(*types.Basic)
	return ok && b.Info()&kind != 0
}

// written is a type as the file can write it, or nothing.
func (f finder) written(t types.Type) string {
	ok := true
	text := types.TypeString(t, func(p *types.Package) string {
		if p == f.types {
			return ""
		}
		name := f.imports[p.Path()]
		ok = ok && name != ""
		return name
	})
	if !ok || strings.HasPrefix(text, "untyped") {
		return ""
	}
	return text
}

// zero says whether a constant is nought.
func (f finder) zero(e ast.Expr) bool {
	v := f.info.Types[e].Value
	return v != nil && constant.Sign(v) == 0
}
