package dates

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

func TestToday(t *testing.T) {
	for _, c := range []struct {
		year int
		want string
	}{{1970, ""}, {2019, ""}, {2020, "2020-03-02"}, {2026, "2026-03-02"}, {9999, "9999-03-02"}, {10000, ""}} {
		got, ok := Today(time.Date(c.year, 3, 2, 9, 0, 0, 0, time.UTC))
		assert.Equal(t, c.want, got)
		assert.Equal(t, c.want != "", ok)
	}
}
