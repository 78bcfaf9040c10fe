package main

import (
	"context"
	"encoding/json"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

// mutant is one change in one file.
type mutant struct {
	file       string
	line       int
	from, to   int // offsets of what is replaced
	was, is    string
	source     []byte
	wholeLine  string
	occurrence int // of the same change in the same line
}

func (m mutant) String() string {
	return fmt.Sprintf("%s:%d: %q becomes %q in: %s", m.file, m.line, m.was, m.is, m.wholeLine)
}

// key names a mutant by what stands in its line, not by the line's number.
func (m mutant) key() string {
	return fmt.Sprintf("%s | %s | %d | %s", m.file, m.wholeLine, m.occurrence, m.is)
}

// operators and what each becomes.
var operators = map[token.Token]token.Token{
	token.ADD: token.SUB, token.SUB: token.ADD, token.MUL: token.QUO, token.QUO: token.MUL,
	token.LSS: token.GEQ, token.GTR: token.LEQ, token.LEQ: token.GTR, token.GEQ: token.LSS,
	token.EQL: token.NEQ, token.NEQ: token.EQL, token.LAND: token.LOR, token.LOR: token.LAND,
	token.ADD_ASSIGN: token.SUB_ASSIGN, token.SUB_ASSIGN: token.ADD_ASSIGN,
	token.MUL_ASSIGN: token.QUO_ASSIGN, token.QUO_ASSIGN: token.MUL_ASSIGN,
}

func isTest(name string) bool { return strings.HasSuffix(name, "_test.go") }

// mutantsOf lists the mutants of a file in the order of its text.
func mutantsOf(name string) ([]mutant, error) {
	source, err := os.ReadFile(name)
	if err != nil {
		return nil, err
	}
	set := token.NewFileSet()
	f, err := parser.ParseFile(set, name, source, 0)
	if err != nil {
		return nil, err
	}
	lines := strings.Split(string(source), "\n")
	var out []mutant
	seen := map[string]int{}
	add := func(pos token.Pos, was, is string) {
		p := set.Position(pos)
		m := mutant{file: name, line: p.Line, from: p.Offset, to: p.Offset + len(was), was: was, is: is, source: source, wholeLine: strings.TrimSpace(lines[p.Line-1])}
		k := m.wholeLine + was
		m.occurrence = seen[k]
		seen[k]++
		out = append(out, m)
	}
	ast.Inspect(f, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.BinaryExpr:
			if to, ok := operators[n.Op]; ok {
				add(n.OpPos, n.Op.String(), to.String())
			}
		case *ast.AssignStmt:
			if to, ok := operators[n.Tok]; ok {
				add(n.TokPos, n.Tok.String(), to.String())
			}
		case *ast.BasicLit:
			if is := otherNumber(n); is != "" {
				add(n.Pos(), n.Value, is)
			}
		}
		return true
	})
	return out, nil
}

// otherNumber is a number that differs enough to matter: a fraction by a quarter,
// a whole number by one.
func otherNumber(l *ast.BasicLit) string {
	switch l.Kind {
	case token.FLOAT:
		if v, err := strconv.ParseFloat(l.Value, 64); err == nil && v != 0 {
			return strconv.FormatFloat(v*1.25, 'g', -1, 64)
		}
		return "1.0"
	case token.INT:
		if v, err := strconv.Atoi(l.Value); err == nil {
			return strconv.Itoa(v + 1)
		}
	}
	return ""
}

type fate uint8

const (
	died fate = iota
	late      // its tests took too long, which counts as died
	lived
	unbuilt // it does not compile: no mutant
)

// try runs the tests with the mutant in place of its file, which stays as it is.
func (m mutant) try(args []string, limit time.Duration) fate {
	dir, err := os.MkdirTemp("", "mutate")
	check(err)
	defer os.RemoveAll(dir)
	other := filepath.Join(dir, "mutant.go")
	text := string(m.source[:m.from]) + m.is + string(m.source[m.to:])
	check(os.WriteFile(other, []byte(text), 0o600))
	at, err := filepath.Abs(m.file)
	check(err)
	over, err := json.Marshal(map[string]map[string]string{"Replace": {at: other}})
	check(err)
	overlay := filepath.Join(dir, "overlay.json")
	check(os.WriteFile(overlay, over, 0o600))
	ctx, stop := context.WithTimeout(context.Background(), limit+time.Minute)
	defer stop()
	all := append([]string{"test", "-overlay", overlay, "-short", "-failfast", "-vet=off", "-count=1", "-timeout", limit.String()}, args...)
	said, err := exec.CommandContext(ctx, "go", all...).CombinedOutput()
	if err == nil {
		return lived
	}
	if s := string(said); strings.Contains(s, "[build failed]") || strings.Contains(s, "[setup failed]") {
		return unbuilt
	}
	if ctx.Err() != nil || strings.Contains(string(said), "panic: test timed out") {
		return late
	}
	return died
}

func check(err error) {
	if err != nil {
		fmt.Fprintln(os.Stderr, "mutate:", err)
		os.Exit(2)
	}
}
