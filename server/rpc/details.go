package rpc

import (
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/protoadapt"
)

// with builds a status with details; a detail that cannot be packed is left out,
// since the code and text matter more.
func with(c codes.Code, text string, details ...protoadapt.MessageV1) *status.Status {
	s := status.New(c, text)
	for _, d := range details {
		if t, err := s.WithDetails(d); err == nil {
			s = t
		}
	}
	return s
}
