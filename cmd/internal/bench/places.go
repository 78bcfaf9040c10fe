package bench

import (
	"time"

	"lostair/cmd/internal/bench/desk"
	"lostair/cmd/internal/bench/rounds"
	"lostair/cmd/internal/bench/store"
)

// Options say what a Bench works with.
type Options struct {
	Files  store.Store
	Where  string                   // what the pages call the place of Files, such as a folder's path
	Demo   []store.File             // the files of the demo shop
	InPage bool                     // the Bench runs in the browser, in a page that is one file
	Now    func() time.Time         // for the date of a reading
	Work   time.Duration            // how long the work on an answer may take; 0: desk.Patience
	Phone  func() (link, qr string) // a link that lets a phone in, once, and its QR code as SVG; nil: no phone can reach this
}

// shop is the places of one shop, with what they remember.
type shop struct {
	Options
	at      *desk.Shop
	planned desk.KeptPlan
	book    rounds.Book
}

func newShop(o Options, files store.Store, base string) *shop {
	return &shop{Options: o, at: &desk.Shop{Files: files, Base: base, Where: o.Where, InPage: o.InPage, Now: o.Now, Work: o.Work}}
}
