package main

import (
	"go/ast"
	"go/build"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What lets a program reach out of itself, and who may import it: the door alone
// listens, and starts nothing but the user's browser; lostair page starts Go.
var reaching = map[string][]string{
	"net":        {"cmd/internal/door"},
	"net/http":   {"cmd/internal/door", "cmd/internal/bench", "cmd/internal/bench/desk", "cmd/internal/bench/tell", "cmd/internal/bench/ask", "cmd/internal/bench/rounds"},
	"os/exec":    {"cmd/internal/door", "cmd/internal/onepage"},
	"net/rpc":    nil,
	"net/smtp":   nil,
	"crypto/tls": nil,
	"plugin":     nil,
	"log/syslog": nil,
	"syscall":    {"cmd/internal/console", "cmd/internal/talk"}, // signals, which streams are open, and the lock of a round
	"unsafe":     nil,
	"C":          nil,
}

// Names by which a connection is opened to somewhere else; a handler needs none.
var dialling = []string{"Dial", "DialTimeout", "Dialer", "Client", "DefaultClient", "DefaultTransport", "Transport", "Get", "Head", "Post", "PostForm",
	"LookupHost", "LookupIP"}

// The program opens no connection to anywhere: lostair serve listens, and that is
// all that it has of the network.
func TestReachesNothing(t *testing.T) {
	for pkg, imports := range packages(t) {
		for _, im := range imports {
			if who, ok := reaching[im]; ok {
				assert.Contains(t, who, pkg, "%s imports %s", pkg, im)
			}
		}
	}
	files := 0
	err := filepath.WalkDir(filepath.Join(root, "cmd", "internal"), func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		files++
		f, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
		require.NoError(t, err)
		ast.Inspect(f, func(n ast.Node) bool {
			if s, ok := n.(*ast.SelectorExpr); ok {
				if x, ok := s.X.(*ast.Ident); ok && (x.Name == "net" || x.Name == "http") {
					assert.NotContains(t, dialling, s.Sel.Name, "%s: %s.%s", path, x.Name, s.Sel.Name)
				}
			}
			return true
		})
		return nil
	})
	require.NoError(t, err)
	require.Greater(t, files, 5, "the files were not found")
	_, err = build.ImportDir(filepath.Join(root, "cmd", "internal", "door"), 0)
	require.NoError(t, err)
}
