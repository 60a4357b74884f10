package app

import (
	"google.golang.org/grpc"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/journal"
	"roodbeam/server/planner"
	"roodbeam/server/service/access"
	"roodbeam/server/service/budget"
	"roodbeam/server/service/calc"
	"roodbeam/server/service/catalogue"
	"roodbeam/server/service/design"
	"roodbeam/server/service/load"
	"roodbeam/server/service/network"
	"roodbeam/server/service/packet"
	"roodbeam/server/service/phase"
	"roodbeam/server/service/project"
	"roodbeam/server/service/survey"
	"roodbeam/server/store"
)

// register puts the eleven services on the server.
func register(gs *grpc.Server, st store.Journal, cfg Config) {
	p := planner.New(st, cfg.Now)
	p.PictureWidthPx = cfg.PictureWidthPx
	w := journal.Writer{Store: st, Now: cfg.Now}
	pb.RegisterProjectServiceServer(gs, &project.Server{Store: st, Planner: p, Journal: w, Now: cfg.Now})
	pb.RegisterSurveyServiceServer(gs, &survey.Server{Planner: p, Journal: w, Blobs: st, Now: cfg.Now})
	pb.RegisterCatalogueServiceServer(gs, &catalogue.Server{Planner: p, Journal: w, Blobs: st})
	pb.RegisterDesignServiceServer(gs, &design.Server{Planner: p, Journal: w, Now: cfg.Now})
	pb.RegisterLoadServiceServer(gs, &load.Server{Planner: p, Journal: w, Now: cfg.Now})
	pb.RegisterDataNetworkServiceServer(gs, &network.Server{Planner: p})
	pb.RegisterBudgetServiceServer(gs, &budget.Server{Planner: p})
	pb.RegisterPhaseServiceServer(gs, &phase.Server{Planner: p, Journal: w, Now: cfg.Now})
	pb.RegisterPacketServiceServer(gs, &packet.Server{Store: st, Planner: p, Journal: w, Now: cfg.Now})
	pb.RegisterAccessServiceServer(gs, &access.Server{Store: st, Now: cfg.Now})
	pb.RegisterCalcServiceServer(gs, &calc.Server{})
}
