package keys

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/require"
)

func compiledSchema(t *testing.T) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(Schema()))
	require.NoError(t, err)
	c := jsonschema.NewCompiler()
	require.NoError(t, c.AddResource("system.json", doc))
	s, err := c.Compile("system.json")
	require.NoError(t, err)
	return s
}

func asJSON(t *testing.T, data []byte) any {
	t.Helper()
	var v any
	require.NoError(t, yaml.Unmarshal(data, &v))
	b, err := json.Marshal(v)
	require.NoError(t, err)
	out, err := jsonschema.UnmarshalJSON(bytes.NewReader(b))
	require.NoError(t, err)
	return out
}

// The contract's own example and the shops that come with the program fit.
func TestGoodFilesFitTheSchema(t *testing.T) {
	s := compiledSchema(t)
	files, err := filepath.Glob("../../../cmd/lostair/*/system*.yaml")
	require.NoError(t, err)
	more, err := filepath.Glob("../systemfile/testdata/good/*.yaml")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, f := range append(files, more...) {
		data, err := os.ReadFile(f)
		require.NoError(t, err)
		require.NoError(t, s.Validate(asJSON(t, data)), f)
	}
}

func TestBadFilesDoNotFitTheSchema(t *testing.T) {
	s := compiledSchema(t)
	for _, text := range []string{
		"units: imperial\ncollector: {inlet: 100, fan: {curve: [[0, 100], [100, 0]]}}\nducts: []\nports: []\n",
		"units: metric\nducts: []\nports: []\n",
		"units: metric\nportz: []\ncollector: {inlet: 100, fan: {curve: [[0, 100], [100, 0]]}}\nducts: []\nports: []\n",
	} {
		require.Error(t, s.Validate(asJSON(t, []byte(text))), text)
	}
}
