package report

import (
	_ "embed"
	"encoding/json"
)

// resultSchema is generated from the types of this package and their comments
// by TestResultSchema; UPDATE_GOLDEN=1 writes it anew.
//
//go:embed result.schema.json
var resultSchema []byte

// ResultSchema is the JSON Schema (2020-12) of a result as JSON writes it.
func ResultSchema() []byte { return append([]byte(nil), resultSchema...) }

// SchemaVersion is the version of the result that the schema describes.
func SchemaVersion() (int, error) {
	var s struct {
		Properties struct {
			Version struct {
				Const int `json:"const"`
			} `json:"version"`
		} `json:"properties"`
	}
	err := json.Unmarshal(resultSchema, &s)
	return s.Properties.Version.Const, err
}
