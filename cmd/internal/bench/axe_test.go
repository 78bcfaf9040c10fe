package bench

import (
	"archive/tar"
	"compress/gzip"
	"context"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// axeVersion is the release of the accessibility engine axe-core that the pages
// are held to. It is fetched once by npm, for tests only.
const axeVersion = "4.10.3"

// axeCore is the engine's script; "" if it can't be had, which is said.
func axeCore(t *testing.T) string {
	t.Helper()
	cache, err := os.UserCacheDir()
	if err != nil {
		t.Logf("no accessibility check: %v", err)
		return ""
	}
	file := filepath.Join(cache, "lostair-test", "axe-core-"+axeVersion+".js")
	if data, err := os.ReadFile(file); err == nil {
		return string(data)
	}
	data, err := fetchAxe(t.TempDir())
	if err != nil {
		t.Logf("no accessibility check: axe-core can't be fetched with npm: %v", err)
		return ""
	}
	require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o755))
	require.NoError(t, os.WriteFile(file, data, 0o644))
	return string(data)
}

func fetchAxe(dir string) ([]byte, error) {
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	c := exec.CommandContext(ctx, "npm", "pack", "--silent", "axe-core@"+axeVersion)
	c.Dir = dir
	out, err := c.Output()
	if err != nil {
		return nil, err
	}
	f, err := os.Open(filepath.Join(dir, strings.TrimSpace(string(out))))
	if err != nil {
		return nil, err
	}
	defer f.Close()
	z, err := gzip.NewReader(f)
	if err != nil {
		return nil, err
	}
	for r := tar.NewReader(z); ; {
		h, err := r.Next()
		if errors.Is(err, io.EOF) {
			return nil, errors.New("the package holds no axe.min.js")
		}
		if err != nil {
			return nil, err
		}
		if h.Name == "package/axe.min.js" {
			return io.ReadAll(r)
		}
	}
}

// violations are what the engine finds on the page as it stands.
func (o *tab) violations(axe string) string {
	o.t.Helper()
	o.try("(() => {" + axe + "; return 'loaded'})()")
	out, err := chromedp.Run(o, chromedp.Evaluate[string](`axe.run().then(r => r.violations.map(v => v.id + ": " + v.nodes.slice(0, 3).map(n => n.html.slice(0, 120) + " " + n.failureSummary.slice(0, 300)).join(" | ")).join("\n"))`, chromedp.EvalAwaitPromise))
	require.NoError(o.t, err)
	return out
}
