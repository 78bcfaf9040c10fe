// Package literals finds the numbers that stand in a package's code, so that a
// test can hold them against a table of sources.
package literals

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"math"
	"os"
	"path/filepath"
	"sort"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Code is the numbers of one package by the top-level declaration they stand in.
type Code struct {
	numbers map[string][]number
	place   map[string]string // of the declaration: file:line
	order   []string
}

// number is one as it stands in the code.
type number struct {
	value   float64
	operand bool // of an operator: part of a formula
}

// Allowed are numbers of a declaration that need no source, with the reason.
type Allowed struct {
	Values []float64
	Why    string
}

// none are numbers that say nothing by themselves, wherever they stand; algebra
// are those of squares, halves and areas (π/4), as operands of a formula only.
var (
	none    = []float64{0, 1}
	algebra = []float64{2, 0.5, 4}
)

// Of parses the packages in dirs, their tests and their facts left out. A
// declaration goes by its name with a small first letter, exported or not.
func Of(t *testing.T, dirs ...string) *Code {
	t.Helper()
	c := &Code{numbers: map[string][]number{}, place: map[string]string{}}
	var names []string
	for _, dir := range dirs {
		list, err := filepath.Glob(filepath.Join(dir, "*.go"))
		require.NoError(t, err)
		require.NotEmpty(t, list, "no code in %s", dir)
		names = append(names, list...)
	}
	set := token.NewFileSet()
	for _, name := range names {
		if strings.HasSuffix(name, "_test.go") || filepath.Base(name) == "facts.go" {
			continue
		}
		b, err := os.ReadFile(name)
		require.NoError(t, err)
		f, err := parser.ParseFile(set, name, b, 0)
		require.NoError(t, err)
		c.file(set, f)
	}
	sort.Strings(c.order)
	return c
}

func (c *Code) file(set *token.FileSet, f *ast.File) {
	for _, d := range f.Decls {
		switch d := d.(type) {
		case *ast.FuncDecl:
			if d.Body != nil {
				c.collect(set, d.Name.Name, d.Body)
			}
		case *ast.GenDecl:
			for _, s := range d.Specs {
				v, ok := s.(*ast.ValueSpec)
				if !ok {
					continue
				}
				for i, x := range v.Values {
					c.collect(set, v.Names[min(i, len(v.Names)-1)].Name, x)
				}
			}
		}
	}
}

func small(name string) string { return strings.ToLower(name[:1]) + name[1:] }

func (c *Code) collect(set *token.FileSet, name string, n ast.Node) {
	name = small(name)
	if _, ok := c.numbers[name]; !ok {
		c.order = append(c.order, name)
		c.numbers[name] = nil
		p := set.Position(n.Pos())
		c.place[name] = fmt.Sprintf("%s:%d", filepath.Base(p.Filename), p.Line)
	}
	index, operand := map[ast.Expr]bool{}, map[ast.Expr]bool{}
	ast.Inspect(n, func(x ast.Node) bool {
		switch i := x.(type) {
		case *ast.IndexExpr:
			index[i.Index] = true
		case *ast.SliceExpr:
			index[i.Low], index[i.High], index[i.Max] = true, true, true
		case *ast.BinaryExpr:
			operand[i.X], operand[i.Y] = true, true
		}
		if e, ok := x.(ast.Expr); ok && index[e] {
			return false
		}
		l, ok := x.(*ast.BasicLit)
		if !ok || l.Kind != token.INT && l.Kind != token.FLOAT {
			return true
		}
		v, err := strconv.ParseFloat(strings.ReplaceAll(l.Value, "_", ""), 64)
		if err == nil {
			c.numbers[name] = append(c.numbers[name], number{v, operand[l]})
		}
		return true
	})
}

// Has says whether there is such a declaration.
func (c *Code) Has(name string) bool {
	_, ok := c.numbers[small(name)]
	return ok
}

// Contains says whether a declaration holds a number.
func (c *Code) Contains(name string, v float64) bool {
	for _, x := range c.numbers[small(name)] {
		if has([]float64{v}, x.value) {
			return true
		}
	}
	return false
}

// Check holds the numbers, which the parser sees without their sign, against a
// table: it fails for every number that is neither among the known ones of its
// declaration, nor allowed there, nor plain algebra; and for what is allowed and
// stands nowhere.
func (c *Code) Check(t *testing.T, known map[string][]float64, allowed map[string]Allowed) {
	t.Helper()
	known, allowed = folded(known), folded(allowed)
	for _, name := range c.order {
		for _, n := range c.numbers[name] {
			if !n.plain() && !has(known[name], n.value) && !has(allowed[name].Values, n.value) {
				t.Errorf("%s: the number %v in %s is neither in the table of sources (facts.go) nor allowed beside it", c.place[name], n.value, name)
			}
		}
	}
	for name, a := range allowed {
		require.NotEmpty(t, a.Why, name)
		for _, v := range a.Values {
			if !c.Contains(name, v) {
				t.Errorf("%v in %s is allowed, and stands nowhere", v, name)
			}
		}
	}
}

func (n number) plain() bool {
	return has(none, n.value) || n.operand && has(algebra, n.value)
}

// folded is a table by names with a small first letter.
func folded[T any](table map[string]T) map[string]T {
	out := map[string]T{}
	for name, x := range table {
		out[small(name)] = x
	}
	return out
}

func has(list []float64, v float64) bool {
	for _, x := range list {
		if math.Abs(x) == v || math.Abs(math.Abs(x)-v) <= 1e-12*math.Abs(v) {
			return true
		}
	}
	return false
}
