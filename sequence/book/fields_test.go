package book

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/sequence/records"
)

// The quick way reads what JSON's own reader does, and leaves to that what is not plain.
func TestPlainFields(t *testing.T) {
	for text, plain := range map[string]bool{
		`{}`: true, `{"a":"b"}`: true, `{"a":"b","c":""}`: true, `{"a":"1","a":"2"}`: true, `{"é":"24 kg / 23 kg: {,}"}`: true,
		`{"a":"\"b"}`: true, `{"a":"b\\"}`: true, `{"a\n":"\ta\/\r\b\f"}`: true, "{\"a\":\"\ufffd\"}": true,
		`{"a":"b",}`: false, `{"a":"b"} `: false, `{"a": "b"}`: false, `{"a":"\u0041"}`: false, `{"a":"\a"}`: false, `{"a":"b\`: false, `{"a":1}`: false, `{"a":null}`: false,
		`{"a":"b""c":"d"}`: false, `{,"a":"b"}`: false, `{"a":"b"`: false, "{\"a\":\"\x1f\"}": false, `["a","b"]`: false, "{\"a\":\"\n\"}": false, "{\"a\":\"\xff\"}": false, ``: false, `"a":"b"`: false,
	} {
		_, is := plainFields([]byte(text))
		assert.Equal(t, plain, is, text)
	}
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.OneOf(rapid.StringMatching(`[{}",:\\ abfnrtu/0\n\x{fffd}é1]{0,14}`), rapid.Custom(func(t *rapid.T) string {
			body, err := json.Marshal(rapid.MapOfN(rapid.String(), rapid.String(), 0, 4).Draw(t, "fields"))
			require.NoError(t, err)
			return string(body)
		})).Draw(t, "text")
		var want records.Fields
		wrong := json.Unmarshal([]byte(text), &want)
		got, err := readFields([]byte(text))
		require.Equal(t, wrong, err, text)
		if wrong == nil {
			require.Equal(t, want, got, text)
		}
	})
}
