package sources

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/handbook"
	"lostair/report/show"
)

var someFacts = []handbook.Fact{
	{Group: "air", Name: "density", Symbol: "standardDensity", Value: 1.204, Unit: "kg/m3", Source: "a book", Status: "read"},
	{Group: "air", Name: "law", Symbol: "law", Formula: "p = rho*R*T", Source: "a book", Status: "read"},
	{Group: "leaks", Name: "nothing", Symbol: "zero", Value: 0, Source: "the trade, “as it is”", Status: "common practice, no source"},
}

func TestSourcesText(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, Text(&b, someFacts, show.Style{Width: 60, Plain: true}))
	require.Equal(t, `AIR

  a book [read]
    density  1.204 kg/m3
    law      p = rho*R*T

LEAKS

  the trade, "as it is" [common practice, no source]
    nothing  0
`, b.String())
}

func TestSourcesJSON(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, JSON(&b, someFacts))
	var out []map[string]any
	require.NoError(t, json.Unmarshal(b.Bytes(), &out))
	require.Len(t, out, 3)
	require.Equal(t, 1.204, out[0]["value"])
	require.NotContains(t, out[1], "value")
	require.Equal(t, "p = rho*R*T", out[1]["formula"])
	require.Equal(t, 0.0, out[2]["value"], "a value of nothing is a value")
}

// Nothing of the real list is lost in plain text.
func TestSourcesInPlainASCII(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, Text(&b, handbook.Facts(), show.Style{Plain: true}))
	require.NotContains(t, b.String(), "?")
	require.Less(t, len(handbook.Facts()), strings.Count(b.String(), "\n"))
}
