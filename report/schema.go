package report

import (
	_ "embed"
)

// resultSchema is generated from the types of this package and their comments
// by TestResultSchema; UPDATE_GOLDEN=1 writes it anew.
//
//go:embed result.schema.json
var resultSchema []byte

// ResultSchema is the JSON Schema (2020-12) of a result as JSON writes it.
func ResultSchema() []byte { return append([]byte(nil), resultSchema...) }
