package main

import (
	"fmt"
	"go/ast"
	"go/token"
	"go/types"
	"strings"
)

// negated are the operators that say the opposite, bounds those that count the bound otherwise, others the arithmetic
// ones; called are the helpers of each, stepped those of comparisons with a whole number.
var (
	negated = map[token.Token]string{token.EQL: "!=", token.NEQ: "==", token.LSS: ">=", token.LEQ: ">", token.GTR: "<=", token.GEQ: "<"}
	bounds  = map[token.Token]string{token.LSS: "<=", token.LEQ: "<", token.GTR: ">=", token.GEQ: ">"}
	others  = map[token.Token]string{token.ADD: "-", token.SUB: "+", token.MUL: "/", token.QUO: "*"}
	stepped = map[token.Token]string{
		token.EQL: "mutantNumbersSame", token.NEQ: "mutantNumbersDiffer", token.LSS: "mutantNumbersLess", token.LEQ: "mutantNumbersLessOrSame",
		token.GTR: "mutantNumbersMore", token.GEQ: "mutantNumbersMoreOrSame",
	}
	called = map[token.Token]string{
		token.LSS: "mutantLess", token.LEQ: "mutantLessOrSame", token.GTR: "mutantMore", token.GEQ: "mutantMoreOrSame",
		token.ADD: "mutantAdd", token.SUB: "mutantSubtract", token.MUL: "mutantTimes", token.QUO: "mutantOver",
	}
)

const number = types.IsInteger | types.IsFloat

func (f finder) expr(e ast.Expr) {
	switch e := e.(type) {
	case *ast.BinaryExpr:
		f.binary(e)
	case *ast.UnaryExpr:
		switch {
		case e.Op == token.NOT:
			f.note(e, brief(f.text(e)), []string{brief(f.text(e.X))}, func(id int) []edit {
				return []edit{f.put(e.OpPos, 1, "(("), f.shut(e, fmt.Sprintf(") == mutantIs(%d))", id))}
			})
		case e.Op == token.SUB && f.basic(e, number):
			f.note(e, brief(f.text(e)), []string{brief(f.text(e.X))}, func(id int) []edit {
				return []edit{f.put(e.OpPos, 1, fmt.Sprintf("(-mutantSign(%d, ", id)), f.shut(e, "))")}
			})
		}
	case *ast.IndexExpr:
		if t := f.info.TypeOf(e.X); t != nil && f.info.Types[e.X].IsValue() {
			if _, isMap := t.Underlying().(*types.Map); !isMap {
				f.step(e, e.Index, true)
			}
		}
	case *ast.SliceExpr:
		for _, i := range []ast.Expr{e.Low, e.High, e.Max} {
			if i != nil {
				f.step(e, i, true)
			}
		}
	case *ast.CallExpr:
		f.least(e)
	}
}

func (f finder) binary(e *ast.BinaryExpr) {
	x, y, op := f.text(e.X), f.text(e.Y), e.Op
	with := func(op string) string { return brief(x) + " " + op + " " + brief(y) }
	was := with(op.String())
	length := len(op.String())
	switch {
	case op == token.LAND || op == token.LOR:
		// By De Morgan a || b is !(!a && !b), and no operand is asked for that the operator would leave alone.
		f.note(e, was, []string{with(map[token.Token]string{token.LAND: "||", token.LOR: "&&"}[op])}, func(id int) []edit {
			is := fmt.Sprintf("mutantIs(%d)", id)
			return []edit{f.open(e, "(((("), f.shut(e.X, ") != "+is+")"), f.open(e.Y, "(("), f.shut(e, ") != "+is+")) != "+is+")")}
		})
	case stepped[op] != "" && (f.whole(e, e.X) || f.whole(e, e.Y)):
		which, number, write := 1, x, func(c string) string { return brief(c) + " " + op.String() + " " + brief(y) }
		if f.constant(e.Y) {
			which, number, write = 2, y, func(c string) string { return brief(x) + " " + op.String() + " " + brief(c) }
		}
		f.note(e, was, []string{with(negated[op]), write(number + "+1"), write(number + "-1")}, func(id int) []edit {
			return []edit{f.open(e, fmt.Sprintf("%s(%d, %d, ", stepped[op], id, which)), f.put(e.OpPos, length, ","), f.shut(e, ")")}
		})
	case op == token.EQL || op == token.NEQ:
		f.note(e, was, []string{with(negated[op])}, func(id int) []edit {
			return []edit{f.open(e, "(("), f.shut(e, fmt.Sprintf(") != mutantIs(%d))", id))}
		})
	case negated[op] != "":
		f.steps(e)
		f.note(e, was, []string{with(negated[op]), with(bounds[op])}, func(id int) []edit {
			return []edit{f.open(e, fmt.Sprintf("%s(%d, ", called[op], id)), f.put(e.OpPos, length, ","), f.shut(e, ")")}
		})
	case called[op] != "" && f.basic(e, number):
		if op == token.ADD || op == token.SUB {
			f.steps(e)
		}
		f.note(e, was, []string{with(others[op])}, func(id int) []edit {
			return []edit{f.open(e, fmt.Sprintf("%s(%d, ", called[op], id)), f.put(e.OpPos, length, ","), f.shut(e, ")")}
		})
	}
}

// whole says whether a part of a comparison is a whole number, and not one name among others or a time.
func (f finder) whole(in *ast.BinaryExpr, e ast.Expr) bool {
	if !f.constant(e) || !f.basic(e, types.IsInteger) || f.info.TypeOf(e).String() == "time.Duration" {
		return false
	}
	_, literal := ast.Unparen(e).(*ast.BasicLit)
	return literal || in.Op != token.EQL && in.Op != token.NEQ
}

// steps moves the constants of a comparison, a sum or a difference.
func (f finder) steps(e *ast.BinaryExpr) {
	f.step(e, e.X, false)
	f.step(e, e.Y, false)
}

// step moves a constant in what holds it: a whole number by 1, another one and a duration by a tenth.
func (f finder) step(in, e ast.Expr, index bool) {
	f.depth++ // within what holds it
	t := f.info.TypeOf(e)
	if !f.constant(e) || !f.basic(e, number) || f.written(t) == "" {
		return
	}
	before, after := f.bytes[f.offset(in.Pos()):f.offset(e.Pos())], f.bytes[f.offset(e.End()):f.offset(in.End())]
	with := func(change string) string { return brief(string(before)) + change + brief(string(after)) }
	is, helper := []string{with(f.text(e) + "+1"), with(f.text(e) + "-1")}, "mutantStep"
	switch whole := f.basic(e, types.IsInteger) && t.String() != "time.Duration"; {
	case !whole && f.zero(e):
		return // a tenth of nothing
	case !whole:
		is, helper = []string{with(f.text(e) + "·1.1"), with(f.text(e) + "·0.9")}, "mutantScale"
	case index && f.zero(e):
		is = is[:1] // nothing lies before the first
	}
	f.note(e, with(f.text(e)), is, func(id int) []edit {
		return []edit{f.open(e, fmt.Sprintf("%s(%d, %s(", helper, id, f.written(t))), f.shut(e, "))")}
	})
}

// cond turns a condition round that has no operator of its own.
func (f finder) cond(e ast.Expr) {
	switch c := ast.Unparen(orNothing(e)).(type) {
	case *ast.BinaryExpr, *ast.UnaryExpr, *ast.BadExpr:
	default:
		if f.constant(c) {
			return
		}
		f.note(e, brief(f.text(e)), []string{"!" + brief(f.text(e))}, func(id int) []edit {
			return []edit{f.open(e, "(("), f.shut(e, fmt.Sprintf(") != mutantIs(%d))", id))}
		})
	}
}

func orNothing(e ast.Expr) ast.Expr {
	if e == nil {
		return &ast.BadExpr{}
	}
	return e
}

// least swaps min and max.
func (f finder) least(e *ast.CallExpr) {
	name, ok := e.Fun.(*ast.Ident)
	if !ok || !f.info.Types[name].IsBuiltin() || !f.basic(e, number) || name.Name != "min" && name.Name != "max" {
		return
	}
	other, helper := "max", "mutantMin"
	if name.Name == "max" {
		other, helper = "min", "mutantMax"
	}
	arguments := brief(strings.TrimPrefix(f.text(e), name.Name))
	f.note(e, name.Name+arguments, []string{other + arguments}, func(id int) []edit {
		return []edit{f.put(e.Pos(), f.offset(e.Lparen)+1-f.offset(e.Pos()), fmt.Sprintf("%s(%d, ", helper, id))}
	})
}

// branch swaps continue and break.
func (f finder) branch(n *ast.BranchStmt) {
	other := map[token.Token]string{token.CONTINUE: "break", token.BREAK: "continue"}[n.Tok]
	if other == "" || !f.loop && n.Label == nil {
		return
	}
	label := ""
	if n.Label != nil {
		label = " " + n.Label.Name
	}
	f.note(n, f.text(n), []string{other + label}, func(id int) []edit {
		return []edit{f.open(n, fmt.Sprintf("if mutantIs(%d) { %s%s }; ", id, other, label))}
	})
}

// assign turns += and -= round.
func (f finder) assign(n *ast.AssignStmt) {
	op := map[token.Token]string{token.ADD_ASSIGN: "-=", token.SUB_ASSIGN: "+="}[n.Tok]
	if op == "" || !f.basic(n.Lhs[0], number) || f.written(f.info.TypeOf(n.Lhs[0])) == "" {
		return
	}
	by := n.Rhs[0]
	f.note(n, brief(f.text(n)), []string{brief(f.text(n.Lhs[0])) + " " + op + " " + brief(f.text(by))}, func(id int) []edit {
		return []edit{f.open(by, fmt.Sprintf("mutantSign(%d, %s(", id, f.written(f.info.TypeOf(n.Lhs[0])))), f.shut(by, "))")}
	})
}

// incDec turns ++ and -- round, but for the step of a loop, which would go on for ever.
func (f finder) incDec(n *ast.IncDecStmt) {
	t := f.written(f.info.TypeOf(n.X))
	if ast.Stmt(n) == f.post || t == "" {
		return
	}
	op, other := "+=", "--"
	if n.Tok == token.DEC {
		op, other = "-=", "++"
	}
	f.note(n, brief(f.text(n)), []string{brief(f.text(n.X)) + other}, func(id int) []edit {
		return []edit{f.put(n.TokPos, 2, fmt.Sprintf(" %s mutantSign(%d, %s(1))", op, id, t))}
	})
}
