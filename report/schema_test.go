package report

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/invopop/jsonschema"
	validator "github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/require"

	"lostair/report/golden"
)

// generated is the schema of Result by its types, tags and comments.
func generated(t *testing.T) []byte {
	t.Helper()
	r := jsonschema.Reflector{}
	require.NoError(t, r.AddGoComments("lostair", "./"))
	// comments are filed under the folder they were read in; types under their package
	for k, v := range r.CommentMap {
		r.CommentMap["lostair/report"+k[len("lostair"):]] = v
	}
	r.ExpandedStruct = true
	r.AllowAdditionalProperties = true
	s := r.Reflect(&Result{})
	s.ID = ""
	s.Title = "lostair result"
	v, ok := s.Properties.Get("version")
	require.True(t, ok)
	v.Const = Version
	b, err := json.MarshalIndent(s, "", "  ")
	require.NoError(t, err)
	return append(b, '\n')
}

func TestResultSchema(t *testing.T) {
	golden.Check(t, "result.schema.json", generated(t))
	n, err := schemaVersion()
	require.NoError(t, err)
	require.Equal(t, Version, n)
}

// Whatever JSON writes is what the schema says.
func TestResultsFitTheSchema(t *testing.T) {
	c := validator.NewCompiler()
	doc, err := validator.UnmarshalJSON(bytes.NewReader(ResultSchema()))
	require.NoError(t, err)
	require.NoError(t, c.AddResource("result.json", doc))
	s, err := c.Compile("result.json")
	require.NoError(t, err)
	files, err := filepath.Glob("testdata/*.json")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, f := range files {
		b, err := os.ReadFile(f)
		require.NoError(t, err)
		v, err := validator.UnmarshalJSON(bytes.NewReader(b))
		require.NoError(t, err, f)
		require.NoError(t, s.Validate(v), f)
	}
}

// schemaVersion is the version of the result that the schema describes.
func schemaVersion() (int, error) {
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
