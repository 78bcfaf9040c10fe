package readings

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/readings/units"
)

func TestLoadPlan(t *testing.T) {
	const plan = "open,point,quantity,value,unit,hose_off,position\n" +
		"saw,S1,static_pressure,,Pa,,\n" + "saw,S1,velocity_pressure,,,saw,2\n" + "none,M1,suction,-7 kPa,,,\n"
	read, bad := LoadPlan(strings.NewReader(plan), "plan.csv", units.Metric)
	require.Empty(t, bad)
	rows := read.Rows
	require.Len(t, rows, 3)
	for _, r := range rows {
		assert.True(t, math.IsNaN(r.Value))
		assert.Empty(t, r.Typed)
	}
	assert.Equal(t, []string{"saw"}, rows[1].HoseOff)
	assert.Equal(t, 2, rows[1].Position)
	assert.Equal(t, 4, rows[2].Line)

	var b bytes.Buffer
	require.NoError(t, Write(&b, rows, units.Metric))
	again, bad := LoadPlan(&b, "again.csv", units.Metric)
	require.Empty(t, bad)
	require.Len(t, again.Rows, 3)
}

func TestLoadPlanFinds(t *testing.T) {
	for text, want := range map[string]string{
		"":                          "the file",
		"open,point,quantity,value": "no row of a reading",
		"open,point,value\na,b,1":   `"quantity" is missing`,
		"open,point,quantity,value\n,S1,static_pressure,": "not said which gates",
		"open,point,quantity,value\nall,S1,heat,":         `"heat"`,
	} {
		rows, bad := LoadPlan(strings.NewReader(text), "plan.csv", units.Metric)
		assert.Nil(t, rows)
		require.Error(t, bad.Err(), text)
		assert.Contains(t, bad.Error(), want)
	}
}
