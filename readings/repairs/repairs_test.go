package repairs

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestRepairsAreReadInOrderOfDate(t *testing.T) {
	log, bad := Read(strings.NewReader("# kept by hand\ndate,kind,where,action,note\n2026-05-01,leak,main,sealed,foil tape\n2026-04-01,,,belt tightened\n"), "repairs.csv")
	require.NoError(t, bad.Err())
	require.Len(t, log, 2)
	assert.Equal(t, "belt tightened", log[0].Action)
	assert.Equal(t, Repair{Date: log[1].Date, Kind: "leak", Where: "main", Action: "sealed", Note: "foil tape", Line: 3}, log[1])
}

func TestBadRepairs(t *testing.T) {
	for text, want := range map[string]string{
		"kind,where\nleak,main\n":        `repairs.csv:1: the column "date" is missing; begin with the line date,kind,where,action,note`,
		"date,kind\nyesterday,leak\n":    `repairs.csv:2:1: "yesterday" is not a date; write it as 2026-03-02`,
		"date,kind\n2026-13-01,leak\n":   `repairs.csv:2:1: "2026-13-01" is not a date; write it as 2026-03-02`,
		"date,kind\n2026-01-01,\"leak\n": "repairs.csv: this is not CSV",
	} {
		log, bad := Read(strings.NewReader(text), "repairs.csv")
		require.Nil(t, log)
		require.Contains(t, bad.Error(), want)
	}
	log, bad := Load(filepath.Join(t.TempDir(), File))
	require.Empty(t, log)
	require.Empty(t, bad)
	_, bad = Load(t.TempDir())
	require.Error(t, bad.Err())
	log, bad = Read(strings.NewReader(""), "repairs.csv")
	require.Empty(t, log)
	require.Empty(t, bad)
}
