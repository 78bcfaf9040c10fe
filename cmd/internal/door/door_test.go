package door

import (
	"context"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const key = "0123456789abcdef0123456789abcdef"

// behind is what stands behind the door in these tests.
var behind = http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
	if _, err := io.ReadAll(r.Body); err != nil {
		w.WriteHeader(http.StatusRequestEntityTooLarge)
		return
	}
	io.WriteString(w, "inside")
})

func knock(d *Door, method, target string, change func(*http.Request)) *httptest.ResponseRecorder {
	r := httptest.NewRequest(method, target, nil)
	r.Host = "127.0.0.1:8000"
	if change != nil {
		change(r)
	}
	w := httptest.NewRecorder()
	d.Guard(behind).ServeHTTP(w, r)
	return w
}

func withPass(d *Door) func(*http.Request) {
	return func(r *http.Request) { r.AddCookie(&http.Cookie{Name: d.cookie(), Value: d.pass()}) }
}

func TestTheKeyBecomesACookie(t *testing.T) {
	d := New(key, "8000")
	w := knock(d, "GET", "/?key="+key, nil)
	require.Equal(t, http.StatusSeeOther, w.Code)
	assert.Equal(t, "/", w.Header().Get("Location"), "the key goes from the address")
	require.Len(t, w.Result().Cookies(), 1)
	c := w.Result().Cookies()[0]
	assert.True(t, c.HttpOnly)
	assert.Equal(t, http.SameSiteStrictMode, c.SameSite)
	assert.NotContains(t, c.Value, key)
	w = knock(d, "GET", "/shop", func(r *http.Request) { r.AddCookie(c) })
	assert.Equal(t, "inside", w.Body.String())
}

func TestWhoIsKeptOut(t *testing.T) {
	d := New(key, "8000")
	in := withPass(d)
	for name, c := range map[string]struct {
		method, target string
		change         func(*http.Request)
		status         int
	}{
		"no cookie":              {"GET", "/", nil, 403},
		"a wrong key":            {"GET", "/?key=" + strings.Repeat("0", 32), nil, 403},
		"an empty key":           {"GET", "/?key=", nil, 403},
		"a key in a post":        {"POST", "/?key=" + key, nil, 403},
		"a wrong cookie":         {"GET", "/", func(r *http.Request) { r.AddCookie(&http.Cookie{Name: d.cookie(), Value: "x"}) }, 403},
		"the key as cookie":      {"GET", "/", func(r *http.Request) { r.AddCookie(&http.Cookie{Name: d.cookie(), Value: key}) }, 403},
		"another name, rebound":  {"GET", "/", func(r *http.Request) { in(r); r.Host = "evil.example:8000" }, 421},
		"the key, rebound":       {"GET", "/?key=" + key, func(r *http.Request) { r.Host = "evil.example:8000" }, 421},
		"another port":           {"GET", "/", func(r *http.Request) { in(r); r.Host = "127.0.0.1:8001" }, 421},
		"no port":                {"GET", "/", func(r *http.Request) { in(r); r.Host = "127.0.0.1" }, 421},
		"an address of the shop": {"GET", "/", func(r *http.Request) { in(r); r.Host = "192.168.1.5:8000" }, 421},
		"a post from elsewhere":  {"POST", "/", func(r *http.Request) { in(r); r.Header.Set("Origin", "https://evil.example") }, 403},
		"a post from a file":     {"POST", "/", func(r *http.Request) { in(r); r.Header.Set("Origin", "null") }, 403},
		"another port's post":    {"POST", "/", func(r *http.Request) { in(r); r.Header.Set("Origin", "http://127.0.0.1:9000") }, 403},
		"cross-site by metadata": {"POST", "/", func(r *http.Request) { in(r); r.Header.Set("Sec-Fetch-Site", "cross-site") }, 403},
		"same site, other port":  {"POST", "/", func(r *http.Request) { in(r); r.Header.Set("Sec-Fetch-Site", "same-site") }, 403},
	} {
		t.Run(name, func(t *testing.T) {
			w := knock(d, c.method, c.target, c.change)
			assert.Equal(t, c.status, w.Code)
			assert.NotContains(t, w.Body.String(), "inside")
			assert.Empty(t, w.Result().Cookies())
			assert.Contains(t, w.Header().Get("Content-Security-Policy"), "default-src 'none'")
		})
	}
}

func TestOwnPagesPost(t *testing.T) {
	d := New(key, "8000", "192.168.1.5")
	for _, host := range []string{"127.0.0.1:8000", "localhost:8000", "192.168.1.5:8000", "[::1]:8000"} {
		w := knock(d, "POST", "/", func(r *http.Request) {
			withPass(d)(r)
			r.Host = host
			r.Header.Set("Origin", "http://"+host)
		})
		assert.Equal(t, "inside", w.Body.String(), host)
	}
}

func TestAnInvitationHoldsOnce(t *testing.T) {
	d := New(key, "8000", "192.168.1.5")
	at := time.Now()
	d.now = func() time.Time { return at }
	link := strings.TrimPrefix(d.Invite("192.168.1.5"), "http://192.168.1.5:8000")
	phone := func(r *http.Request) { r.Host = "192.168.1.5:8000" }
	assert.Equal(t, 303, knock(d, "GET", link, phone).Code)
	assert.Equal(t, 403, knock(d, "GET", link, phone).Code, "a second time")
	late := strings.TrimPrefix(d.Invite("192.168.1.5"), "http://192.168.1.5:8000")
	at = at.Add(guestTime + time.Second)
	assert.Equal(t, 403, knock(d, "GET", late, phone).Code, "too late")
}

func TestABodyIsBounded(t *testing.T) {
	d := New(key, "8000")
	w := knock(d, "POST", "/", func(r *http.Request) {
		withPass(d)(r)
		r.Body = io.NopCloser(io.LimitReader(endless{}, MostBody+1))
	})
	assert.Equal(t, http.StatusRequestEntityTooLarge, w.Code)
}

type endless struct{}

func (endless) Read(p []byte) (int, error) { return len(p), nil }

func TestConnectionsAreBounded(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- serve(ctx, l, behind, time.Minute) }()
	var open []net.Conn
	for range mostConnections {
		c, err := net.Dial("tcp", l.Addr().String())
		require.NoError(t, err)
		open = append(open, c)
	}
	time.Sleep(100 * time.Millisecond)
	one, err := net.Dial("tcp", l.Addr().String()) // the system takes it, the program does not yet
	require.NoError(t, err)
	io.WriteString(one, "GET / HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n")
	one.SetReadDeadline(time.Now().Add(300 * time.Millisecond))
	_, err = one.Read(make([]byte, 1))
	assert.ErrorIs(t, err, os.ErrDeadlineExceeded, "it is answered before another has gone")
	for _, c := range open {
		c.Close()
	}
	one.SetReadDeadline(time.Now().Add(5 * time.Second))
	answer, err := io.ReadAll(one)
	require.NoError(t, err)
	assert.Contains(t, string(answer), "inside")
	stop()
	assert.NoError(t, <-ended)
}

// What is being answered when the program is stopped is answered to its end.
func TestStopWaitsForWhatIsBegun(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	ctx, stop := context.WithCancel(context.Background())
	begun, ended := make(chan struct{}), make(chan error, 1)
	go func() {
		ended <- serve(ctx, l, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			close(begun)
			time.Sleep(300 * time.Millisecond)
			if r.Context().Err() == nil {
				io.WriteString(w, "written")
			}
		}), time.Minute)
	}()
	got := make(chan string, 1)
	go func() {
		r, err := http.Get("http://" + l.Addr().String())
		if err != nil {
			got <- err.Error()
			return
		}
		defer r.Body.Close()
		b, _ := io.ReadAll(r.Body)
		got <- string(b)
	}()
	<-begun
	stop()
	assert.Equal(t, "written", <-got)
	assert.NoError(t, <-ended)
}

func TestWhatIsKeptForAFolder(t *testing.T) {
	dir := t.TempDir()
	assert.Zero(t, Recall(dir, "/shop"))
	k := Kept{Folder: "/shop", Port: "8123", Key: key}
	require.NoError(t, Keep(dir, k))
	assert.Equal(t, k, Recall(dir, "/shop"))
	assert.Zero(t, Recall(dir, "/other"))
	files, err := filepath.Glob(filepath.Join(dir, "lostair", "serve", "*"))
	require.NoError(t, err)
	require.Len(t, files, 1)
	info, err := os.Stat(files[0])
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o600), info.Mode().Perm(), "nobody else may read the key")
	require.NoError(t, os.WriteFile(files[0], []byte("{"), 0o600))
	assert.Zero(t, Recall(dir, "/shop"))
}

func TestQRCode(t *testing.T) {
	var b strings.Builder
	require.NoError(t, DrawQR(&b, "http://192.168.1.5:8000/?once="+key))
	lines := strings.Split(strings.TrimSpace(b.String()), "\n")
	assert.Greater(t, len(lines), 15)
	for _, l := range lines {
		assert.Less(t, len([]rune(l)), 80)
	}
}
