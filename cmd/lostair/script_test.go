package main

import (
	"encoding/csv"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"lostair/report/golden"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"lostair": main})
}

// TestScripts runs each topic of testdata/script: commands, the files that they
// read, and what must come out.
func TestScripts(t *testing.T) {
	scripts, err := os.ReadDir("testdata/script")
	require.NoError(t, err)
	require.NotEmpty(t, scripts)
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		UpdateScripts:       golden.Update(),
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Cmds:                map[string]func(*testscript.TestScript, bool, []string){"workbook": makeWorkbook},
	})
}

// makeWorkbook is the command "workbook CSV XLSX [SHEET]" of the scripts: it makes a
// workbook with the cells of a CSV file, numbers and dates as a spreadsheet stores them.
func makeWorkbook(ts *testscript.TestScript, _ bool, args []string) {
	rows, err := csv.NewReader(strings.NewReader(ts.ReadFile(args[0]))).ReadAll()
	ts.Check(err)
	f := excelize.NewFile()
	name := "Sheet1"
	if len(args) > 2 {
		name = args[2]
		_, err = f.NewSheet(name)
		ts.Check(err)
	}
	for i, cells := range rows {
		for k, cell := range cells {
			at, err := excelize.CoordinatesToCellName(k+1, i+1)
			ts.Check(err)
			ts.Check(f.SetCellValue(name, at, stored(cell)))
		}
	}
	ts.Check(f.SaveAs(ts.MkAbs(args[1])))
}

// stored is a cell as a spreadsheet stores what is typed.
func stored(cell string) any {
	if v, err := strconv.ParseFloat(cell, 64); err == nil {
		return v
	}
	if d, err := time.Parse(time.DateOnly, cell); err == nil {
		return d
	}
	return cell
}
