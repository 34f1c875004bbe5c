package api

import (
	"net/http"
	"strconv"
	"strings"

	"github.com/labstack/echo/v4"

	"evenfall/server/record"
)

// etag is a record's revision as an entity tag (RFC 9110, 8.8.3).
func etag(s *record.Stamp) string { return strconv.Quote(strconv.FormatInt(s.Revision, 10)) }

// namedRevision is the revision that a change was made from. Without one the
// change is refused, or it could undo another's unseen.
func namedRevision(c echo.Context) (int64, error) {
	header := strings.TrimSpace(c.Request().Header.Get("If-Match"))
	if header == "" || header == "*" {
		return 0, refuse(http.StatusPreconditionRequired, "if_match_missing",
			"the change does not say which revision it was made from",
			"send the record's ETag in an If-Match header")
	}
	number, quoted := strings.CutPrefix(header, `"`)
	number, closed := strings.CutSuffix(number, `"`)
	revision, err := strconv.ParseInt(number, 10, 64)
	if !quoted || !closed || err != nil {
		return 0, refuse(http.StatusBadRequest, "if_match_form", "the If-Match header is not one of our ETags",
			`send the ETag as it came, such as "3"`)
	}
	return revision, nil
}

// onlyNew takes If-None-Match: * on its own, which asks that nothing be there
// yet (RFC 9110, 13.1.2).
func onlyNew(c echo.Context) error {
	if c.Request().Header.Get("If-Match") != "" || strings.TrimSpace(c.Request().Header.Get("If-None-Match")) != "*" {
		return refuse(http.StatusBadRequest, "if_none_match_form", "a change cannot be asked for like this",
			"send If-None-Match: * alone for a new record, If-Match with its ETag for a change")
	}
	return nil
}

// unchanged tells whether the client has this revision already.
func unchanged(c echo.Context, tag string) bool {
	for known := range strings.SplitSeq(c.Request().Header.Get("If-None-Match"), ",") {
		known = strings.TrimPrefix(strings.TrimSpace(known), "W/")
		if known == "*" || known == tag {
			return true
		}
	}
	return false
}
