package ask

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

// A workbook of runs comes onto the page as text; one with a mistake says its cell.
func TestWorkbookOfRuns(t *testing.T) {
	made := func(cells map[string]any) []byte {
		f := excelize.NewFile()
		defer f.Close()
		for at, v := range cells {
			require.NoError(t, f.SetCellValue("Sheet1", at, v))
		}
		var b bytes.Buffer
		require.NoError(t, f.Write(&b))
		return b.Bytes()
	}
	text, err := textOf(made(map[string]any{"A1": "run", "B1": "into", "C1": "size", "D1": "length (ft)", "A2": "main", "B2": "collector", "C2": 6, "D2": 20.5}), "ducts.xlsx")
	require.NoError(t, err)
	require.Contains(t, text, "main,collector,,6,20.5 ft,")
	_, err = textOf(made(map[string]any{"A1": "run", "B1": "into", "C1": "size"}), `C:\shop\ducts.xlsx`)
	require.ErrorContains(t, err, "ducts.xlsx: Sheet1, row 1: the column length is missing")
	plain, err := textOf([]byte("run,into"), "ducts.csv")
	require.NoError(t, err)
	require.Equal(t, "run,into", plain)
}
