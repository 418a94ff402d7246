package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"go/ast"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
)

// A source is one file of a package.
type source struct {
	*pack
	path    string
	bytes   []byte
	file    *ast.File
	imports map[string]string // the name that the file has for each package it imports
	points  []*point
}

// A pack is a package whose types are known.
type pack struct {
	dir   string // below the module
	name  string
	set   *token.FileSet
	types *types.Package
	info  *types.Info
	files []*source
	from  types.Importer
}

// An export is what the go command tells of a package.
type export struct {
	ImportPath, Dir, Name, Export string
	GoFiles                       []string
	Module                        struct{ Dir string }
}

// load reads packages by their folders below the module.
func load(dirs []string) ([]*pack, error) {
	args := []string{"list", "-deps", "-export", "-json=ImportPath,Dir,Name,Export,GoFiles,Module",
		"fmt", "os", "strconv", "sync/atomic"} // for the helpers
	for _, d := range dirs {
		args = append(args, "./"+d)
	}
	out, err := command("go", args...)
	if err != nil {
		return nil, err
	}
	known := map[string]export{}
	for d := json.NewDecoder(bytes.NewReader(out)); ; {
		var e export
		if err := d.Decode(&e); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			return nil, err
		}
		known[e.ImportPath] = e
	}
	set := token.NewFileSet()
	from := importer.ForCompiler(set, "gc", func(path string) (io.ReadCloser, error) { return os.Open(known[path].Export) })
	var packs []*pack
	for _, e := range known {
		dir, err := filepath.Rel(e.Module.Dir, e.Dir)
		if err != nil || !slices.Contains(dirs, filepath.ToSlash(dir)) {
			continue
		}
		p := &pack{dir: filepath.ToSlash(dir), name: e.Name, set: set, from: from}
		for _, name := range e.GoFiles {
			if err := p.read(filepath.Join(e.Dir, name)); err != nil {
				return nil, err
			}
		}
		if errs := p.check(); len(errs) > 0 {
			return nil, errors.Join(errs...)
		}
		packs = append(packs, p)
	}
	slices.SortFunc(packs, func(a, b *pack) int { return slices.Index(dirs, a.dir) - slices.Index(dirs, b.dir) })
	return packs, nil
}

func (p *pack) read(path string) error {
	text, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	file, err := parser.ParseFile(p.set, path, text, parser.ParseComments|parser.SkipObjectResolution)
	p.files = append(p.files, &source{pack: p, path: path, bytes: text, file: file})
	return err
}

func (p *pack) check() []error {
	var errs []error
	c := types.Config{Importer: p.from, Error: func(err error) { errs = append(errs, err) }}
	p.info = &types.Info{Types: map[ast.Expr]types.TypeAndValue{}, Implicits: map[ast.Node]types.Object{}, Uses: map[*ast.Ident]types.Object{}, Defs: map[*ast.Ident]types.Object{}}
	var files []*ast.File
	for _, s := range p.files {
		files = append(files, s.file)
	}
	p.types, _ = c.Check(p.dir, p.set, files, p.info)
	for _, s := range p.files {
		s.imports = map[string]string{}
		for _, i := range s.file.Imports {
			path, _ := strconv.Unquote(i.Path.Value)
			if name, ok := p.info.Implicits[i].(*types.PkgName); ok {
				s.imports[path] = name.Name()
			} else if i.Name != nil {
				s.imports[path] = i.Name.Name
			}
		}
	}
	return errs
}

func (s *source) offset(at token.Pos) int { return s.set.Position(at).Offset }

func command(name string, args ...string) ([]byte, error) {
	c := exec.Command(name, args...)
	var said bytes.Buffer
	c.Stderr = &said
	out, err := c.Output()
	if err != nil {
		return nil, fmt.Errorf("%s %s: %w\n%s", name, args[0], err, said.Bytes())
	}
	return out, nil
}
