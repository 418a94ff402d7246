package main

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"errors"
	"fmt"
	"go/ast"
	"go/parser"
	"go/types"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

//go:embed helpers.go.txt
var helpers string

// A schema is the packages with every mutant in them, each asleep until the environment names it.
type schema struct {
	mutants []Mutant
	overlay string // for the go command: what stands in the place of which file
}

// makeSchema writes the packages with their mutants into a folder. A mutant with which a package does not compile is left
// out.
func makeSchema(packs []*pack, folder string) (*schema, error) {
	s := &schema{overlay: filepath.Join(folder, "overlay.json")}
	places := map[string]string{}
	id := 1
	for _, p := range packs {
		for _, f := range p.files {
			ast.Walk(finder{source: f, out: &f.points}, f.file)
		}
		if err := p.settle(); err != nil {
			return nil, err
		}
		var mine []Mutant
		for i, f := range p.files {
			text := f.rewritten(id)
			for _, pt := range f.points {
				for j, m := range pt.mutants {
					m.ID = id + j
					mine = append(mine, m)
				}
				id += ids
			}
			to := filepath.Join(folder, fmt.Sprintf("%s_%d.go", strings.ReplaceAll(p.dir, "/", "_"), i))
			if err := os.WriteFile(to, text, 0o600); err != nil {
				return nil, err
			}
			places[f.path] = to
		}
		count(mine)
		s.mutants = append(s.mutants, mine...)
	}
	for _, p := range packs {
		to := filepath.Join(folder, strings.ReplaceAll(p.dir, "/", "_")+"_helpers.go")
		text := strings.NewReplacer("PACKAGE", p.name, "LAST", fmt.Sprint(id)).Replace(helpers)
		if err := os.WriteFile(to, []byte(text), 0o600); err != nil {
			return nil, err
		}
		places[filepath.Join(filepath.Dir(p.files[0].path), "mutant_helpers.go")] = to
	}
	text, err := json.Marshal(map[string]any{"Replace": places})
	if err != nil {
		return nil, err
	}
	return s, os.WriteFile(s.overlay, text, 0o600)
}

// ids are kept for each point, as no helper knows more.
const ids = 3

// settle drops points until the package compiles.
func (p *pack) settle() error {
	for {
		again := &pack{dir: p.dir, set: p.set, from: p.from}
		for i, f := range p.files {
			file, err := parser.ParseFile(p.set, fmt.Sprintf("%d", i), f.rewritten(1), parser.SkipObjectResolution)
			if err != nil {
				return fmt.Errorf("%s: %w", f.path, err)
			}
			again.files = append(again.files, &source{pack: again, file: file})
		}
		text := strings.NewReplacer("PACKAGE", p.name, "LAST", "1").Replace(helpers)
		file, err := parser.ParseFile(p.set, "helpers", text, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		again.files = append(again.files, &source{pack: again, file: file})
		errs := again.check()
		if len(errs) == 0 {
			return nil
		}
		dropped := false
		for _, err := range errs {
			var e types.Error
			if !errors.As(err, &e) {
				return err
			}
			at := e.Fset.Position(e.Pos)
			for i, f := range p.files {
				if at.Filename != fmt.Sprint(i) {
					continue
				}
				before := len(f.points)
				f.points = slices.DeleteFunc(f.points, func(pt *point) bool { return pt.mutants[0].Pos.Line == at.Line })
				dropped = dropped || len(f.points) < before
			}
		}
		if !dropped {
			return fmt.Errorf("%s with its mutants: %w", p.dir, errors.Join(errs...))
		}
	}
}

// rewritten is the file with every point switchable, the lines where they were.
func (s *source) rewritten(first int) []byte {
	var all []edit
	for i, p := range s.points {
		all = append(all, p.edits(first+ids*i)...)
	}
	slices.SortStableFunc(all, func(a, b edit) int {
		switch {
		case a.at != b.at:
			return a.at - b.at
		case a.closes && b.closes:
			return b.depth - a.depth
		case a.closes:
			return -1
		case b.closes:
			return 1
		}
		return a.depth - b.depth
	})
	var out bytes.Buffer
	at := 0
	for _, e := range all {
		out.Write(s.bytes[at:e.at])
		out.WriteString(e.text)
		at = e.at + e.drop
	}
	out.Write(s.bytes[at:])
	return out.Bytes()
}
