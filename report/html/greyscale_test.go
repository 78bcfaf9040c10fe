package html

import (
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// luminance is the relative luminance of a colour, and contrast the ratio of two, by
// WCAG 2.2.
func luminance(t *testing.T, hex string) float64 {
	hex = strings.TrimPrefix(hex, "#")
	if len(hex) == 3 {
		hex = string([]byte{hex[0], hex[0], hex[1], hex[1], hex[2], hex[2]})
	}
	v, err := strconv.ParseUint(hex, 16, 32)
	require.NoError(t, err, hex)
	lin := func(c uint64) float64 {
		x := float64(c&255) / 255
		if x <= 0.04045 {
			return x / 12.92
		}
		return math.Pow((x+0.055)/1.055, 2.4)
	}
	return 0.2126*lin(v>>16) + 0.7152*lin(v>>8) + 0.0722*lin(v)
}

func contrast(a, b float64) float64 { return (max(a, b) + 0.05) / (min(a, b) + 0.05) }

// Without colours what differs is still seen: each duct that differs has a line along it,
// dashed for less and whole for more, thicker from 25 % on, that stands out from its fill
// by 3:1, in the light, in the dark and on paper.
func TestDuctsAreToldApartInGreyscale(t *testing.T) {
	data, err := os.ReadFile("../pages/style.css")
	require.NoError(t, err)
	css := string(data)
	light := map[string]string{}
	for i, block := range regexp.MustCompile(`(?s):root \{(.*?)\}`).FindAllStringSubmatch(css, -1) {
		colours := map[string]string{}
		for k, v := range light {
			colours[k] = v
		}
		for _, m := range regexp.MustCompile(`--([a-z-]+): (#[0-9a-fA-F]+)`).FindAllStringSubmatch(block[1], -1) {
			colours[m[1]] = m[2]
		}
		if i == 0 {
			light = colours
		}
		for _, fill := range []string{"less-fill", "far-less-fill", "more-fill", "far-more-fill"} {
			got := contrast(luminance(t, colours["ink"]), luminance(t, colours[fill]))
			assert.GreaterOrEqual(t, got, 3.0, "colours %d: the line on %s %s", i+1, fill, colours[fill])
		}
	}
	require.NotEmpty(t, light)
	assert.Contains(t, css, ".mark.less, .mark.far-less { stroke-dasharray:")
	assert.Contains(t, css, ".mark.far-less, .mark.far-more { stroke-width:")
}
