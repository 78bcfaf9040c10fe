package html

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct"
	"lostair/diagnose/plan"
	"lostair/report/sheet"
)

func usualSheet(t testing.TB, s *duct.System) *sheet.Sheet {
	t.Helper()
	rows := sheet.UsualRound(s)
	expected, err := plan.Ranges(context.Background(), s, "round", rows)
	require.NoError(t, err)
	return sheet.New(s, rows, expected)
}
