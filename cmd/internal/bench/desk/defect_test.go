package desk

import (
	"io"
	"log"
	"net/http"
	"net/http/httptest"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/cmd/internal/bench/store"
)

// A panic in one request is told on its page, and the next is served.
func TestAPanicIsOneRequests(t *testing.T) {
	was := log.Writer()
	log.SetOutput(io.Discard)
	t.Cleanup(func() { log.SetOutput(was) })
	s := &Shop{Files: store.NewMemory(), Where: "here"}
	ask := func(do Route) *httptest.ResponseRecorder {
		w := httptest.NewRecorder()
		s.Serve(w, httptest.NewRequest(http.MethodPost, "/shop", nil), do)
		return w
	}
	w := ask(func(*Desk) error { panic("a bug") })
	require.Equal(t, http.StatusInternalServerError, w.Code)
	require.Contains(t, w.Body.String(), "this is a defect of lostair, not of your files (a bug)")
	require.Contains(t, ask(func(d *Desk) error { return Refuse(http.StatusTeapot, "Next.", "") }).Body.String(), "Next.")
}
