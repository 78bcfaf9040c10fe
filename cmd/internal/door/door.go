// Package door lets the right browsers in to a page that is served on this
// machine, and nobody else. Any web page that somebody visits can send requests
// to a port of their own machine, and any program on it can connect; so every
// request is asked for the name it came by, for the page that sent it, and for a
// cookie that only the link with the key gives.
package door

import (
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/hex"
	"net"
	"net/http"
	"strings"
	"sync"
	"time"
)

// Door guards one listening address.
type Door struct {
	Key   string   // 32 hexadecimal digits
	Port  string   // that it listens on
	Hosts []string // names and addresses by which it may be called, without port

	Work time.Duration // how long the work on an answer may take; 0: as long as it takes

	mu     sync.Mutex
	guests map[string]time.Time // one-time keys, and until when they hold
	now    func() time.Time

	listener net.Listener // of a door that was opened
}

// NewKey is a random key of 128 bits.
func NewKey() string {
	b := make([]byte, 16)
	rand.Read(b) // never fails: it ends the program instead
	return hex.EncodeToString(b)
}

// New is a door on a port, open to the given hosts beside this machine's own.
func New(key, port string, hosts ...string) *Door {
	return &Door{Key: key, Port: port, Hosts: append([]string{"127.0.0.1", "localhost", "::1"}, hosts...),
		guests: map[string]time.Time{}, now: time.Now}
}

// Link is the address that lets a browser in.
func (d *Door) Link() string { return "http://127.0.0.1:" + d.Port + "/?key=" + d.Key }

// guestTime is how long a one-time key may wait to be used.
const guestTime = 10 * time.Minute

// Invite is an address on host that lets one more browser in, once.
func (d *Door) Invite(host string) string {
	once := NewKey()
	d.mu.Lock()
	defer d.mu.Unlock()
	d.guests[once] = d.now().Add(guestTime)
	return "http://" + net.JoinHostPort(host, d.Port) + "/?once=" + once
}

// admit takes a one-time key out of use.
func (d *Door) admit(once string) bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	until, ok := d.guests[once]
	delete(d.guests, once)
	return ok && d.now().Before(until)
}

// cookie is the name of the cookie: browsers keep cookies by host and not by port.
func (d *Door) cookie() string { return "lostair-" + d.Port }

// pass is what the cookie holds. It follows from the key, so that it still opens
// the door after a restart with the same key, and it doesn't give the key away.
func (d *Door) pass() string {
	sum := sha256.Sum256([]byte("pass " + d.Key))
	return hex.EncodeToString(sum[:])
}

// MostBody is how many bytes a request may bring.
const MostBody = 6 << 20

// Guard lets through to next only what comes by a name of this door, from its own
// pages, and with the cookie.
func (d *Door) Guard(next http.Handler) http.Handler {
	cross := http.NewCrossOriginProtection()
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", "default-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'")
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		switch {
		case !d.known(r.Host):
			refuse(w, http.StatusMisdirectedRequest, "This address is not one of this program's. Open the one that lostair serve printed.")
			return
		case cross.Check(r) != nil, foreign(r):
			refuse(w, http.StatusForbidden, "Another page sent this request. Only the bench page's own may.")
			return
		}
		if d.enters(r) {
			http.SetCookie(w, &http.Cookie{Name: d.cookie(), Value: d.pass(), Path: "/", HttpOnly: true,
				SameSite: http.SameSiteStrictMode, MaxAge: 365 * 24 * 3600})
			http.Redirect(w, r, r.URL.Path, http.StatusSeeOther) // the key goes from the address
			return
		}
		if !d.holds(r) {
			refuse(w, http.StatusForbidden, "This page needs its key. Open the address that lostair serve printed, the whole of it.")
			return
		}
		r.Body = http.MaxBytesReader(w, r.Body, MostBody)
		next.ServeHTTP(w, r)
	})
}

// known says whether a Host header names this door, so that no name which
// somebody else makes point here (DNS rebinding) gets in.
func (d *Door) known(host string) bool {
	name, port, err := net.SplitHostPort(host)
	if err != nil || port != d.Port {
		return false
	}
	for _, h := range d.Hosts {
		if strings.EqualFold(name, h) {
			return true
		}
	}
	return false
}

// foreign says whether a request that changes something names another page as
// the one that sent it.
func foreign(r *http.Request) bool {
	if r.Method == http.MethodGet || r.Method == http.MethodHead {
		return false
	}
	from := r.Header.Get("Origin")
	return from != "" && from != "http://"+r.Host
}

func (d *Door) enters(r *http.Request) bool {
	if r.Method != http.MethodGet || r.URL.RawQuery == "" {
		return false
	}
	q := r.URL.Query()
	if k := q.Get("key"); k != "" {
		return same(k, d.Key)
	}
	if k := q.Get("once"); k != "" {
		return d.admit(k)
	}
	return false
}

func (d *Door) holds(r *http.Request) bool {
	for _, c := range r.CookiesNamed(d.cookie()) {
		if same(c.Value, d.pass()) {
			return true
		}
	}
	return false
}

func same(a, b string) bool { return subtle.ConstantTimeCompare([]byte(a), []byte(b)) == 1 }

func refuse(w http.ResponseWriter, status int, why string) {
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	w.WriteHeader(status)
	w.Write([]byte(why + "\n"))
}
