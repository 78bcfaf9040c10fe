package duct

import (
	"reflect"
	"testing"

	"github.com/stretchr/testify/require"
)

// A copy is equal, and shares no memory with the system it was copied from, so
// that both may be changed and finished at the same time. Every field is made
// to hold something first, those that will be added to System too.
func TestCopy(t *testing.T) {
	was := &System{}
	fill(reflect.ValueOf(was).Elem())
	now := was.Copy()
	require.Equal(t, was, now)
	apart(t, "System", reflect.ValueOf(was).Elem(), reflect.ValueOf(now).Elem())
}

// fill makes every slice and pointer hold one thing.
func fill(v reflect.Value) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				fill(v.Field(i))
			}
		}
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 1, 1))
		fill(v.Index(0))
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		fill(v.Elem())
	}
}

func apart(t *testing.T, where string, a, b reflect.Value) {
	switch a.Kind() {
	case reflect.Struct:
		for i := range a.NumField() {
			if f := a.Type().Field(i); f.IsExported() {
				apart(t, where+"."+f.Name, a.Field(i), b.Field(i))
			}
		}
	case reflect.Slice:
		require.NotEqual(t, a.Pointer(), b.Pointer(), where)
		apart(t, where, a.Index(0), b.Index(0))
	case reflect.Pointer:
		require.NotEqual(t, a.Pointer(), b.Pointer(), where)
		apart(t, where, a.Elem(), b.Elem())
	}
}
