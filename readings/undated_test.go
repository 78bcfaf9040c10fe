package readings

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/readings/units"
)

func TestDateOrder(t *testing.T) {
	for _, c := range []struct {
		dates []string
		want  []string // nil: an error, and no date is guessed
	}{
		{[]string{"3/27/2026", "3/7/2026"}, []string{"2026-03-27", "2026-03-07"}},
		{[]string{"7.3.2026", "27.3.2026"}, []string{"2026-03-07", "2026-03-27"}},
		{[]string{"3/3/2026"}, []string{"2026-03-03"}},
		{[]string{"2026-03-07", "3/27/26"}, []string{"2026-03-07", "2026-03-27"}},
		{[]string{"3/7/2026"}, nil},
		{[]string{"3/27/2026", "27/3/2026"}, nil},
		{[]string{"3/32/2026"}, nil},
		{[]string{"7 Mar 2026", "march 8 2026"}, []string{"2026-03-07", "2026-03-08"}},
		{[]string{"2026/3/7", "5/5/2026"}, []string{"2026-03-07", "2026-05-05"}},
		{[]string{"2026-03-07T09:30", "8-Mar-26"}, []string{"2026-03-07", "2026-03-08"}},
		{[]string{"7 Mars 2026"}, nil},
	} {
		text := "open,point,quantity,value,date\n"
		for i, d := range c.dates {
			text += []string{"saw", "lathe"}[i] + ",M,suction,500," + d + "\n"
		}
		s, bad := Read(strings.NewReader(text), "s.csv", units.Metric)
		if c.want == nil {
			require.Error(t, bad.Err(), c.dates)
			assert.Regexp(t, "is not a date in ISO form|stand in two orders", bad.Error())
			assert.Len(t, bad, 1)
			continue
		}
		var got []string
		for _, r := range s.Rows {
			got = append(got, r.Date)
		}
		assert.Equal(t, c.want, got)
		assert.NoError(t, bad.Err())
	}
}
