package numeric

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A panic of a worker comes to whoever called, who can say so and go on serving
// others; it ends the others' shares first.
func TestAWorkersPanicComesToTheCaller(t *testing.T) {
	done := make([]bool, 7)
	defer func() {
		b, ok := recover().(*Broken)
		require.True(t, ok)
		require.Equal(t, "odd", b.What)
		require.Contains(t, b.Error(), "pairs_test.go", "it tells where")
		require.Equal(t, []bool{true, false, true, false, true, false, true}, done)
	}()
	ForEach(len(done), func(i int) {
		if i%2 == 1 {
			panic("odd")
		}
		done[i] = true
	})
	t.Fatal("no panic came")
}
