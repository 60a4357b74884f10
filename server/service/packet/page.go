package packet

import (
	"strconv"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/convert"
	"roodbeam/server/rpc"
)

const defaultPage = 100

// pageOf returns one page; the token is the place of the next element.
func pageOf(all []*pb.Packet, size int32, token string) (*pb.ListPacketsResponse, error) {
	from := 0
	if token != "" {
		n, err := strconv.Atoi(token)
		if err != nil || n < 0 || n > len(all) {
			return nil, &rpc.InvalidFields{Violations: []convert.Violation{{Field: "page_token", Given: token, Reason: "is not a token of this list"}}}
		}
		from = n
	}
	if size == 0 {
		size = defaultPage
	}
	to := min(from+int(size), len(all))
	out := &pb.ListPacketsResponse{Packets: all[from:to]}
	if to < len(all) {
		out.NextPageToken = strconv.Itoa(to)
	}
	return out, nil
}
