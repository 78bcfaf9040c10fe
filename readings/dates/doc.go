// Package dates reads the dates that people write into readings files, in whatever form
// has one meaning only. That of 3/7/2026 follows from the other dates of its file, or is
// said once for all of them: that is an Order. A date is ISO text, like 2026-03-02.
package dates
