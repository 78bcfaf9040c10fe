// House checks that the rooms of the house stay rooms: no package grows past a size
// that one can know, and within a package the files have an order, so that whoever
// reads them can begin below and never needs what comes later.
//
//	go run ./.ci/house
//
// Run it from the repository's root. It ends with status 1 if something is to mend.
package main

import (
	"bytes"
	"fmt"
	"go/ast"
	"go/types"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"golang.org/x/tools/go/packages"
)

// most is how many lines a package has without its tests, comments and all. Past it,
// look for a part with a name of its own.
const most = 2600

func main() {
	loaded, err := packages.Load(&packages.Config{
		Mode: packages.NeedName | packages.NeedFiles | packages.NeedImports | packages.NeedDeps |
			packages.NeedSyntax | packages.NeedTypes | packages.NeedTypesInfo,
	}, "./...", "./testdata/published/...", "./.ci/mutate", "./.ci/house")
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	if packages.PrintErrors(loaded) > 0 {
		os.Exit(1)
	}
	var files, toMend int
	for _, p := range loaded {
		n, err := lines(p)
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		if n > most {
			fmt.Printf("%s has %d lines without its tests, more than %d: give a part of it a package of its own\n", p.PkgPath, n, most)
			toMend++
		}
		uses := usesOf(p)
		for _, round := range rounds(uses) {
			fmt.Printf("%s: files that need one another: move what makes the circle\n", p.PkgPath)
			for _, from := range round {
				for _, to := range round {
					if names := uses[from][to]; len(names) > 0 {
						fmt.Printf("  %s uses %s of %s\n", from, strings.Join(slices.Sorted(maps.Keys(names)), ", "), to)
					}
				}
			}
			toMend++
		}
		files += len(p.GoFiles)
	}
	if toMend > 0 {
		os.Exit(1)
	}
	fmt.Printf("%d packages, %d files: none over %d lines, no files in a circle\n", len(loaded), files, most)
}

// lines counts the lines of a package's files, those for other systems as well.
func lines(p *packages.Package) (int, error) {
	if len(p.GoFiles) == 0 {
		return 0, nil
	}
	all, err := filepath.Glob(filepath.Join(filepath.Dir(p.GoFiles[0]), "*.go"))
	if err != nil {
		return 0, err
	}
	n := 0
	for _, name := range all {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		text, err := os.ReadFile(name)
		if err != nil {
			return 0, err
		}
		n += bytes.Count(text, []byte("\n"))
	}
	return n, nil
}

// uses are the names that a file takes of another file of its package.
type uses map[string]map[string]map[string]bool

func usesOf(p *packages.Package) uses {
	out := uses{}
	for _, f := range p.Syntax {
		from := filepath.Base(p.Fset.Position(f.Pos()).Filename)
		out[from] = map[string]map[string]bool{}
		ast.Inspect(f, func(n ast.Node) bool {
			id, ok := n.(*ast.Ident)
			if !ok {
				return true
			}
			o := declared(p.TypesInfo.Uses[id])
			if o == nil || o.Pkg() != p.Types {
				return true
			}
			if to := filepath.Base(p.Fset.Position(o.Pos()).Filename); to != from {
				if out[from][to] == nil {
					out[from][to] = map[string]bool{}
				}
				out[from][to][o.Name()] = true
			}
			return true
		})
	}
	return out
}

// declared is the object as its declaration has it, where a generic one was filled in.
func declared(o types.Object) types.Object {
	switch o := o.(type) {
	case *types.Func:
		return o.Origin()
	case *types.Var:
		return o.Origin()
	}
	return o
}

// rounds are the sets of files that reach one another, in the order of their names.
func rounds(u uses) [][]string {
	reached := map[string]map[string]bool{}
	for from := range u {
		seen := map[string]bool{}
		open := []string{from}
		for len(open) > 0 {
			last := open[len(open)-1]
			open = open[:len(open)-1]
			for to := range u[last] {
				if !seen[to] {
					seen[to] = true
					open = append(open, to)
				}
			}
		}
		reached[from] = seen
	}
	var out [][]string
	in := map[string]bool{}
	for _, a := range slices.Sorted(maps.Keys(u)) {
		if in[a] || !reached[a][a] {
			continue
		}
		var round []string
		for _, b := range slices.Sorted(maps.Keys(u)) {
			if reached[a][b] && reached[b][a] {
				round = append(round, b)
				in[b] = true
			}
		}
		out = append(out, round)
	}
	return out
}
