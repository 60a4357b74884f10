package store

import (
	"errors"
	"fmt"

	"github.com/google/uuid"
)

// Errors without detail. Test with errors.Is.
var (
	ErrNotFound    = errors.New("not found")
	ErrExists      = errors.New("exists already with other content")
	ErrSpent       = errors.New("invitation is expired, revoked or used up")
	ErrCorrupt     = errors.New("stored bytes do not match their hash")
	ErrClosed      = errors.New("store is closed")
	ErrUnavailable = errors.New("store is busy or cannot be reached")
)

// NotFound names what is missing; it Is ErrNotFound.
type NotFound struct {
	What string // 'project', 'document', 'entry', 'blob', 'person', 'member', 'token' or 'invitation'
	ID   string
}

func (e *NotFound) Error() string        { return fmt.Sprintf("%s %s not found", e.What, e.ID) }
func (e *NotFound) Is(target error) bool { return target == ErrNotFound }

// Exists names what is there already with other content; it Is ErrExists.
type Exists struct {
	What string
	ID   string
}

func (e *Exists) Error() string {
	return fmt.Sprintf("%s %s exists already with other content", e.What, e.ID)
}
func (e *Exists) Is(target error) bool { return target == ErrExists }

// RevisionMismatch says that the project has moved on since the caller read it, or is not where it was thought.
type RevisionMismatch struct {
	Project  uuid.UUID
	Expected Revision
	Actual   Revision // 0 when the project does not exist
}

func (e *RevisionMismatch) Error() string {
	return fmt.Sprintf("project %s is at revision %d, not %d", e.Project, e.Actual, e.Expected)
}

// EntryConflict says that the entry's id is taken by an entry with other content.
type EntryConflict struct {
	Project  uuid.UUID
	Entry    uuid.UUID
	Revision Revision // of the entry that has the id; 0 when it stands earlier in the same call
}

func (e *EntryConflict) Error() string {
	return fmt.Sprintf("entry %s of project %s exists already with other content", e.Entry, e.Project)
}

// Invalid says which argument cannot be stored and why.
type Invalid struct {
	Field  string // path, such as 'entries[2].kind'
	Reason string
}

func (e *Invalid) Error() string { return fmt.Sprintf("%s %s", e.Field, e.Reason) }

// TooLarge says which argument is beyond its limit.
type TooLarge struct {
	Field string
	Size  int
	Limit int // in the unit of Size: bytes, or elements of a list
}

func (e *TooLarge) Error() string {
	return fmt.Sprintf("%s has size %d, the limit is %d", e.Field, e.Size, e.Limit)
}
