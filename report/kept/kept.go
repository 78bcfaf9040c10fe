// Package kept packs a result into a line of text, and unpacks it again: so that
// a saved result can be shown in other units or as a page, a report carries the
// values that it was made from. What is packed is for this program alone.
//
// A packed result is JSON, deflated, in base64. The JSON has every exported field
// that is not zero, in the order of its type. It differs from what encoding/json
// writes in two ways: a number may be NaN, which stands for "not worked out", and
// what several pointers share is written once.
package kept

import (
	"bytes"
	"compress/flate"
	"encoding"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"reflect"
	"strconv"
)

// most is how large an unpacked result may be, in bytes: that of the largest
// plant is smaller by far.
const most = 256 << 20

// Pack packs what v points to. It fails on types that no result holds: maps,
// interfaces, functions.
func Pack(v any) (string, error) {
	w := &writer{seen: map[shared]int{}}
	if err := w.value(reflect.ValueOf(v)); err != nil {
		return "", err
	}
	var b bytes.Buffer
	z, err := flate.NewWriter(&b, flate.BestCompression)
	if err != nil {
		return "", err
	}
	if _, err := z.Write(w.Bytes()); err != nil {
		return "", err
	}
	if err := z.Close(); err != nil {
		return "", err
	}
	return base64.StdEncoding.EncodeToString(b.Bytes()), nil
}

// Unpack fills what v points to, which is to be of the type that was packed.
// Fields that the type hasn't are passed over.
func Unpack(s string, v any) error {
	b, err := base64.StdEncoding.DecodeString(s)
	if err != nil {
		return err
	}
	d := json.NewDecoder(io.LimitReader(flate.NewReader(bytes.NewReader(b)), most))
	d.UseNumber()
	var x any
	if err := d.Decode(&x); err != nil {
		return err
	}
	r := &reader{}
	return r.pointer(reflect.ValueOf(v), x)
}

// again is the key of an object that stands for what was written before.
const again = "="

// shared is a pointer by its type: a struct and its first field begin at one place.
type shared struct {
	at uintptr
	of reflect.Type
}

type writer struct {
	bytes.Buffer
	seen map[shared]int
}

func (w *writer) value(v reflect.Value) error {
	if m, ok := v.Interface().(encoding.TextMarshaler); ok && v.Kind() != reflect.Struct && v.Kind() != reflect.Pointer { // a kind, by its name
		b, err := m.MarshalText()
		if err != nil {
			return err
		}
		return w.text(string(b))
	}
	switch v.Kind() {
	case reflect.Bool:
		w.WriteString(strconv.FormatBool(v.Bool()))
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		w.WriteString(strconv.FormatInt(v.Int(), 10))
	case reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		w.WriteString(strconv.FormatUint(v.Uint(), 10))
	case reflect.Float64:
		w.number(v.Float())
	case reflect.String:
		return w.text(v.String())
	case reflect.Slice, reflect.Array:
		return w.list(v)
	case reflect.Pointer:
		return w.pointer(v)
	case reflect.Struct:
		return w.fields(v)
	default:
		return fmt.Errorf("kept: a %s can't be packed", v.Type())
	}
	return nil
}

// number writes what JSON has no number for as text.
func (w *writer) number(f float64) {
	s := strconv.FormatFloat(f, 'g', -1, 64)
	if math.IsNaN(f) || math.IsInf(f, 0) {
		s = strconv.Quote(s)
	}
	w.WriteString(s)
}

func (w *writer) text(s string) error {
	b, err := json.Marshal(s)
	w.Write(b)
	return err
}

func (w *writer) list(v reflect.Value) error {
	if v.Kind() == reflect.Slice && v.IsNil() {
		w.WriteString("null")
		return nil
	}
	w.WriteByte('[')
	for i := range v.Len() {
		if i > 0 {
			w.WriteByte(',')
		}
		if err := w.value(v.Index(i)); err != nil {
			return err
		}
	}
	w.WriteByte(']')
	return nil
}

func (w *writer) pointer(v reflect.Value) error {
	if v.IsNil() {
		w.WriteString("null")
		return nil
	}
	k := shared{v.Pointer(), v.Type()}
	if n, ok := w.seen[k]; ok {
		fmt.Fprintf(w, `{"%s":%d}`, again, n)
		return nil
	}
	w.seen[k] = len(w.seen)
	return w.value(v.Elem())
}

func (w *writer) fields(v reflect.Value) error {
	if m, ok := v.Interface().(encoding.TextMarshaler); ok { // a time
		b, err := m.MarshalText()
		if err != nil {
			return err
		}
		return w.text(string(b))
	}
	w.WriteByte('{')
	first := true
	for i := range v.NumField() {
		if f := v.Type().Field(i); !f.IsExported() || v.Field(i).IsZero() {
			continue
		}
		if !first {
			w.WriteByte(',')
		}
		first = false
		fmt.Fprintf(w, `"%s":`, v.Type().Field(i).Name)
		if err := w.value(v.Field(i)); err != nil {
			return err
		}
	}
	w.WriteByte('}')
	return nil
}

type reader struct{ seen []reflect.Value } // pointers, in the order in which they were written

// set fills v from what stands in the JSON.
func (r *reader) set(v reflect.Value, x any) error {
	if s, ok := x.(string); ok && v.Kind() != reflect.Struct && v.Kind() != reflect.Pointer {
		if m, ok := v.Addr().Interface().(encoding.TextUnmarshaler); ok {
			return m.UnmarshalText([]byte(s))
		}
	}
	switch v.Kind() {
	case reflect.Pointer:
		if x == nil {
			return nil
		}
		if o, ok := x.(map[string]any); ok && o[again] != nil {
			return r.same(v, o[again])
		}
		v.Set(reflect.New(v.Type().Elem()))
		return r.pointer(v, x)
	case reflect.Struct:
		return r.fields(v, x)
	case reflect.Slice, reflect.Array:
		return r.list(v, x)
	case reflect.String:
		s, ok := x.(string)
		v.SetString(s)
		return fits(v, x, ok)
	case reflect.Bool:
		b, ok := x.(bool)
		v.SetBool(b)
		return fits(v, x, ok)
	}
	return number(v, x)
}

// unpacker is what has to be made ready when its exported fields are filled.
type unpacker interface{ Unpacked() error }

func (r *reader) pointer(v reflect.Value, x any) error {
	r.seen = append(r.seen, v)
	if err := r.set(v.Elem(), x); err != nil {
		return err
	}
	if u, ok := v.Interface().(unpacker); ok {
		return u.Unpacked()
	}
	return nil
}

// same points v to what was read before.
func (r *reader) same(v reflect.Value, x any) error {
	n, err := strconv.Atoi(fmt.Sprint(x))
	if err != nil || n < 0 || n >= len(r.seen) || r.seen[n].Type() != v.Type() {
		return fits(v, x, false)
	}
	v.Set(r.seen[n])
	return nil
}

func (r *reader) fields(v reflect.Value, x any) error {
	if m, ok := v.Addr().Interface().(encoding.TextUnmarshaler); ok {
		s, ok := x.(string)
		if !ok {
			return fits(v, x, false)
		}
		return m.UnmarshalText([]byte(s))
	}
	o, ok := x.(map[string]any)
	if !ok {
		return fits(v, x, false)
	}
	for i := range v.NumField() {
		f := v.Type().Field(i)
		y, ok := o[f.Name]
		if !ok || !f.IsExported() {
			continue
		}
		if err := r.set(v.Field(i), y); err != nil {
			return err
		}
	}
	return nil
}

func (r *reader) list(v reflect.Value, x any) error {
	if x == nil {
		return nil
	}
	l, ok := x.([]any)
	if !ok || v.Kind() == reflect.Array && len(l) != v.Len() {
		return fits(v, x, false)
	}
	if v.Kind() == reflect.Slice {
		v.Set(reflect.MakeSlice(v.Type(), len(l), len(l)))
	}
	for i, y := range l {
		if err := r.set(v.Index(i), y); err != nil {
			return err
		}
	}
	return nil
}

func number(v reflect.Value, x any) error {
	s := fmt.Sprint(x)
	var err error
	switch {
	case v.CanInt():
		var n int64
		n, err = strconv.ParseInt(s, 10, v.Type().Bits())
		v.SetInt(n)
	case v.CanUint():
		var n uint64
		n, err = strconv.ParseUint(s, 10, v.Type().Bits())
		v.SetUint(n)
	case v.CanFloat():
		var f float64
		f, err = strconv.ParseFloat(s, v.Type().Bits())
		v.SetFloat(f)
	default:
		return fits(v, x, false)
	}
	return fits(v, x, err == nil)
}

// fits is an error where a value is not of its field's type.
func fits(v reflect.Value, x any, ok bool) error {
	if ok {
		return nil
	}
	return fmt.Errorf("kept: %v is no %s", x, v.Type())
}
