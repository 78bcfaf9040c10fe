package workbook_test

import (
	"bytes"
	"fmt"
	"log"

	"lostair/readings/workbook"
)

// A table is written, and its sheet read back: the first one with such a header.
func Example() {
	var file bytes.Buffer
	err := workbook.Write(&file, workbook.Table{
		Name: "readings",
		Rows: [][]string{{"point", "value"}, {"T-lathe", "-1250"}},
	})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(workbook.Is(file.Bytes()))
	sheet, err := workbook.Read(file.Bytes(), func(row []string) bool { return len(row) > 0 && row[0] == "point" })
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(sheet.Name, sheet.Rows)
	// Output:
	// true
	// readings [[point value] [T-lathe -1250]]
}
