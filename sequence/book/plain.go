package book

import (
	"encoding"
	"encoding/json"
	"reflect"
	"strconv"
	"strings"
	"unicode/utf8"
)

// plainText is what is still to be read of JSON as the book writes it: without blanks, and in objects no keys but those of the type, each
// once. encoding/json reads all else that JSON may be, and goes three times over each byte for that.
type plainText string

// reader reads what comes next into a variable that is empty, as encoding/json would; ok is false where that is not plain.
type reader func(text *plainText, v reflect.Value) (ok bool)

// readPlain reads the whole of a body into a variable that is empty. What is there after it was not plain is worth nothing.
func readPlain(body []byte, v reflect.Value, read reader) bool {
	text := plainText(body)
	return utf8.Valid(body) && read(&text, v) && text == ""
}

func readerOf(t reflect.Type) reader {
	read := readerOfKind(t)
	return func(text *plainText, v reflect.Value) bool {
		switch {
		case *text == "":
			return false
		case (*text)[0] == 'n':
			return text.word("null")
		}
		return read(text, v)
	}
}

func readerOfKind(t reflect.Type) reader {
	switch kind := t.Kind(); {
	case reflect.PointerTo(t).Implements(reflect.TypeFor[encoding.TextUnmarshaler]()):
		return func(text *plainText, v reflect.Value) bool {
			said, ok := text.quoted()
			return ok && v.Addr().Interface().(encoding.TextUnmarshaler).UnmarshalText([]byte(said)) == nil
		}
	case kind == reflect.String:
		return func(text *plainText, v reflect.Value) bool {
			said, ok := text.quoted()
			v.SetString(said)
			return ok
		}
	case kind == reflect.Bool:
		return func(text *plainText, v reflect.Value) bool {
			v.SetBool((*text)[0] == 't')
			return text.word("true") || text.word("false")
		}
	case kind == reflect.Int:
		return func(text *plainText, v reflect.Value) bool {
			n, err := strconv.Atoi(text.number())
			v.SetInt(int64(n))
			return err == nil
		}
	case kind == reflect.Float64:
		return func(text *plainText, v reflect.Value) bool {
			f, err := strconv.ParseFloat(text.number(), 64)
			v.SetFloat(f)
			return err == nil
		}
	case kind == reflect.Pointer:
		of := readerOf(t.Elem())
		return func(text *plainText, v reflect.Value) bool {
			v.Set(reflect.New(t.Elem()))
			return of(text, v.Elem())
		}
	case kind == reflect.Slice:
		return sliceReader(t)
	case kind == reflect.Array:
		return arrayReader(t)
	case kind == reflect.Map:
		return mapReader(t)
	case kind == reflect.Struct && t.NumField() <= 64:
		return structReader(t)
	}
	return func(*plainText, reflect.Value) bool { return false }
}

// usualList is for how many there is room in a list at first: a step has so many ops.
const usualList = 6

func sliceReader(t reflect.Type) reader {
	of, empty := readerOf(t.Elem()), reflect.MakeSlice(t, 0, 0)
	return func(text *plainText, v reflect.Value) bool {
		v.Set(empty)
		return text.list('[', ']', func() bool {
			n := v.Len()
			if n == v.Cap() {
				v.Grow(max(n, usualList))
			}
			v.SetLen(n + 1)
			return of(text, v.Index(n))
		})
	}
}

// arrayReader reads as many as the array has.
func arrayReader(t reflect.Type) reader {
	of := readerOf(t.Elem())
	return func(text *plainText, v reflect.Value) bool {
		n := 0
		return text.list('[', ']', func() bool {
			n++
			return n <= v.Len() && of(text, v.Index(n-1))
		}) && n == v.Len()
	}
}

func mapReader(t reflect.Type) reader {
	of := readerOf(t.Elem())
	return func(text *plainText, v reflect.Value) bool {
		v.Set(reflect.MakeMap(t))
		k, e, n := reflect.New(t.Key()).Elem(), reflect.New(t.Elem()).Elem(), 0
		return text.pairs(func(key string) bool {
			k.SetString(key)
			e.SetZero()
			ok := of(text, e)
			v.SetMapIndex(k, e)
			n++
			return ok && v.Len() == n
		})
	}
}

func structReader(t reflect.Type) reader {
	keys, fields := make([]string, t.NumField()), make([]reader, t.NumField())
	for i := range keys {
		keys[i], _, _ = strings.Cut(t.Field(i).Tag.Get("json"), ",")
		fields[i] = readerOf(t.Field(i).Type)
	}
	return func(text *plainText, v reflect.Value) bool {
		var had uint64
		i := 0 // where the key before stood, for they mostly come in their order
		return text.pairs(func(key string) bool {
			for tries := 0; keys[i] != key; tries++ {
				if i++; i == len(keys) {
					i = 0
				}
				if tries == len(keys) {
					return false
				}
			}
			twice := had&(1<<i) != 0
			had |= 1 << i
			return !twice && fields[i](text, v.Field(i))
		})
	}
}

// next takes a mark away that comes next.
func (t *plainText) next(mark byte) bool {
	ok := *t != "" && (*t)[0] == mark
	if ok {
		*t = (*t)[1:]
	}
	return ok
}

// word takes a word away that comes next.
func (t *plainText) word(word string) bool {
	rest, ok := strings.CutPrefix(string(*t), word)
	*t = plainText(rest)
	return ok
}

// list has each of those read that stand between two marks with commas between them.
func (t *plainText) list(open, end byte, each func() bool) bool {
	if !t.next(open) {
		return false
	}
	if t.next(end) {
		return true
	}
	for each() {
		if t.next(end) {
			return true
		}
		if !t.next(',') {
			break
		}
	}
	return false
}

// pairs has the value behind each key of an object read.
func (t *plainText) pairs(value func(key string) bool) bool {
	return t.list('{', '}', func() bool {
		key, ok := t.quoted()
		return ok && t.next(':') && value(key)
	})
}

// number takes away a number up to the mark behind it; it is empty where none is there.
func (t *plainText) number() (n string) {
	end := 0
	for end < len(*t) && '0' <= (*t)[end] && (*t)[end] <= '9' {
		end++
	}
	if whole := end == 1 || end > 1 && (*t)[0] != '0'; !whole || end == len(*t) || strings.IndexByte(",]}", (*t)[end]) < 0 {
		end = strings.IndexAny(string(*t), ",]}")
		if end < 0 || !json.Valid([]byte((*t)[:end])) {
			return ""
		}
	}
	n, *t = string((*t)[:end]), (*t)[end:]
	return n
}

// quoted takes away a string. A letter that is written by its number is not plain.
func (t *plainText) quoted() (said string, ok bool) {
	if !t.next('"') {
		return "", false
	}
	text := string(*t)
	for i := 0; i < len(text); i++ {
		switch c := text[i]; {
		case c == '"':
			*t = plainText(text[i+1:])
			if said == "" { // nothing was escaped
				return text[:i], true
			}
			return said + text[:i], true
		case c == '\\' && i+1 < len(text):
			n := strings.IndexByte(`"\/bfnrt`, text[i+1])
			if n < 0 {
				return "", false
			}
			said += text[:i] + "\"\\/\b\f\n\r\t"[n:n+1]
			text, i = text[i+2:], -1
		case c < ' ':
			return "", false
		}
	}
	return "", false
}
