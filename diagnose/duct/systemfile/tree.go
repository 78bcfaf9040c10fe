package systemfile

import (
	"github.com/goccy/go-yaml/ast"

	"lostair/readings/problem"
)

// Tree is the syntax tree of a system file, for what changes the file as text.
// It is held to the same bounds as Load, and checks nothing else. Positions are
// those of the text without a byte-order mark, line ends being one character.
func Tree(data []byte, file string) (ast.Node, problem.List) { return parse(data, file) }
