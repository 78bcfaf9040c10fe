package text_test

import (
	"log"
	"os"

	"lostair/report"
	"lostair/report/show"
	"lostair/report/text"
)

// A result as text, for a terminal.
func Example() {
	r := &report.Result{
		System: report.System{Name: "Shop", File: "shop.yaml"},
		Survey: report.Survey{File: "today.csv", Rows: 6, Readings: 6, First: "2026-03-02", Last: "2026-03-02"},
		Answer: report.Answer{Broken: "Nothing is broken that these readings can show (97 %).", TooSmall: "Nothing is too small by design (99 %).", Read: "Nothing: no further reading would tell much more."},
	}
	if err := text.Write(os.Stdout, r, show.Style{Width: 70}); err != nil {
		log.Fatal(err)
	}
	// Output:
	// Shop
	// 6 readings from today.csv, 2026-03-02
	//
	// Nothing is broken that these readings can show (97 %).
	// Nothing is too small by design (99 %).
	//
	// Read next: Nothing: no further reading would tell much more.
	//
	// Take care
	// ---------
	// Fine dust burns and can explode: no flame, no smoke and no spark near
	// an open duct, bin or filter, and never look for leaks with a flame or
	// a smoke source. Lock off the fan before you open anything; its wheel
	// runs on. Read and drill from a ladder or platform that stands safely,
	// with no swarf into the duct. Wear a respirator that fits. Put bonding
	// straps back; leave motor and supply to a licensed electrician. These
	// are estimates: no proof that a system meets a rule or a law, and no
	// design; local codes come first.
	//
	// The evidence, every port and setting, what else it could be, and all
	// cautions: add --all.
}
