package main

import (
	"encoding/csv"
	"os"
	"slices"
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
		Cmds:                map[string]func(*testscript.TestScript, bool, []string){"workbook": makeWorkbook, "cells": cells, "fill": fill},
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

// cells is the command "cells XLSX CSV": the workbook's one sheet has the cells of the CSV.
func cells(ts *testscript.TestScript, _ bool, args []string) {
	want, err := csv.NewReader(strings.NewReader(ts.ReadFile(args[1]))).ReadAll()
	ts.Check(err)
	f, err := excelize.OpenFile(ts.MkAbs(args[0]))
	ts.Check(err)
	defer f.Close()
	names := f.GetSheetList()
	if len(names) != 1 {
		ts.Fatalf("sheets: %q", names)
	}
	rows, err := f.GetRows(names[0])
	ts.Check(err)
	for i := range rows {
		for len(rows[i]) < len(want[0]) {
			rows[i] = append(rows[i], "")
		}
	}
	if !slices.EqualFunc(rows, want, slices.Equal) {
		ts.Fatalf("cells: %q\nwant: %q", rows, want)
	}
}

// fill is the command "fill XLSX CELL=VALUE...": it types values into the first sheet.
func fill(ts *testscript.TestScript, _ bool, args []string) {
	f, err := excelize.OpenFile(ts.MkAbs(args[0]))
	ts.Check(err)
	for _, a := range args[1:] {
		at, v, _ := strings.Cut(a, "=")
		ts.Check(f.SetCellValue(f.GetSheetList()[0], at, stored(v)))
	}
	ts.Check(f.Save())
	ts.Check(f.Close())
}
