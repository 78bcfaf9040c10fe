package diagnose

import (
	"context"
	"fmt"
	"os"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
	"lostair/diagnose/trial"
)

func TestZZ(t *testing.T) {
	ports, _ := strconv.Atoi(os.Getenv("PORTS"))
	seed, _ := strconv.Atoi(os.Getenv("SEED"))
	ev, _ := strconv.Atoi(os.Getenv("EV"))
	h, err := trial.NewHistory(uint64(seed), trial.HistoryOptions{Ports: ports, Surveys: 26, At: 6, Event: trial.Event(ev)})
	require.NoError(t, err)
	m, err := airflow.New(h.System, airflow.Options{})
	require.NoError(t, err)
	var all []*bound
	for _, d := range h.Surveys {
		b, bad := bind(m, d.Survey)
		require.Empty(t, bad)
		all = append(all, b)
	}
	t0 := time.Now()
	tr, err := newTracker(context.Background(), m, all[:6], all)
	require.NoError(t, err)
	fmt.Println("learned", time.Since(t0), "n", tr.l.n, "obs", len(all[0].obs), "cfg", len(all[0].configs), "inds", len(tr.list))
	bore := m.Position(m.DuctSegments(0)[0]).Bore
	t0 = time.Now()
	var ks []*glance
	for i := range all {
		k, err := tr.look(context.Background(), all[i])
		require.NoError(t, err)
		ks = append(ks, k)
	}
	fmt.Println("looks", time.Since(t0))
	for _, i := range []int{0, 1, 2, 6, 7, 10, 15, 20, 25} {
		k := ks[i]
		fmt.Printf("%2d leak %.4f misfit %.2f rows %d |", i, h.Surveys[i].Leak/bore, k.misfit, len(k.f.rows))
		for j, x := range k.list {
			c := k.change[j]
			z := c.value / c.fresh
			if x.kind == Leak && j < 3 || (z > 3 || z < -3) {
				fmt.Printf(" %v@%s %.3f(f%.3f l%.3f z%.1f)", x.kind, x.where, c.value/x.unit, c.fresh/x.unit, c.lasting/x.unit, z)
			}
		}
		for j, c := range k.ports[:min(3, len(k.ports))] {
			fmt.Printf(" %s %.3f(f%.3f l%.3f)", m.Sys.Ports[j].ID, c.value, c.fresh, c.lasting)
		}
		fmt.Println()
	}
}
