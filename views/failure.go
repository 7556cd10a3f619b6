package views

import "net/http"

// failureTitle heads a page that could not be given.
func failureTitle(status int) string {
	switch status {
	case http.StatusNotFound:
		return "Not in this book"
	case http.StatusForbidden:
		return "Not for this badge"
	case http.StatusConflict:
		return "Not done"
	case http.StatusUnprocessableEntity:
		return "Not understood"
	case http.StatusRequestEntityTooLarge:
		return "Too large"
	case http.StatusTooManyRequests:
		return "Too many tries"
	case http.StatusServiceUnavailable:
		return "Busy"
	}
	return "Something went wrong"
}
