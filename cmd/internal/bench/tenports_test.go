package bench

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The times that a person waits for on a machine with nothing else to do; a test runs
// beside others, so it allows several times as much and logs what it saw.
const (
	mostServed = 300 * time.Millisecond
	mostInPage = 1500 * time.Millisecond
	mostFirst  = 3 * time.Second
	otherwork  = 5
)

// tenPorts is a shop of ten ports without readings.
func tenPorts(t *testing.T) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", "ten-ports.yaml"))
	require.NoError(t, err)
	return data
}

// waits types values into a round and gives the time until the next step is shown, the
// middle one of them and the longest.
func (p *person) waits(n int) (middle, longest time.Duration) {
	p.t.Helper()
	p.do("Round")
	p.do("everything is weak")
	var all []time.Duration
	for range n {
		p.types(0.5)
		p.settle()
		step := p.try(`document.querySelector("main [name=step]").value + document.querySelector("main").textContent.match(/(\d+) written down/)?.[1]`)
		begun := time.Now()
		p.tap("Write it down")
		p.until("the next step", `document.querySelector("main [name=step]").value + document.querySelector("main").textContent.match(/(\d+) written down/)?.[1] !== `+quoted(step))
		all = append(all, time.Since(begun))
		if p.says("It is right as it is") {
			p.do("It is right as it is")
		}
		p.settle()
	}
	slices.Sort(all)
	return all[len(all)/2], all[len(all)-1]
}

func (p *person) report(what string, n int, most time.Duration) {
	p.t.Helper()
	middle, longest := p.waits(n)
	load, _ := os.ReadFile("/proc/loadavg")
	p.t.Logf("%s: answer after a value within %v, at most %v of %d (asked: %v); load %s", what, middle.Round(time.Millisecond), longest.Round(time.Millisecond), n, most, load)
	assert.Less(p.t, middle, otherwork*most)
}

func TestTenPortsServed(t *testing.T) {
	ctx := browser(t)
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "system.yaml"), tenPorts(t), 0o644))
	s := serveFolder(t, dir)
	p := &person{tab: openTab(t, ctx, phone, s.link())}
	p.report("served", 8, mostServed)
}

// tenPortsInOneFile is the same in the page that is one file.
func (p *person) tenPortsInOneFile() {
	p.t.Helper()
	got, err := chromedp.Run(p, chromedp.Evaluate[string](fmt.Sprintf(`(() => { const f = new FormData(); f.append("file", new File([%s], "system.yaml")); f.append("replace", "yes");
		return lostairEngine.ask("POST", "/files", f).then(a => String(a.status)); })()`, quoted(string(tenPorts(p.t)))), chromedp.EvalAwaitPromise))
	require.NoError(p.t, err)
	require.Equal(p.t, "200", got)
	require.NoError(p.t, chromedp.Do(p, chromedp.Reload()))
	p.until("the shop", `document.querySelector("main .door")`)
	p.report("in one file", 8, mostInPage)
}
