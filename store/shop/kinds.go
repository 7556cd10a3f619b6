package shop

// kinds maps an event's name in the log to the reader of its body. Every event
// type stands here once.
var kinds = decoders(
	of[BookOpened](), of[KeyChanged](),
	of[PersonAdded](), of[PersonChanged](), of[PersonKeysSet](), of[NameErased](), of[PersonAuthorised](),
	of[StationAdded](), of[DeviceRegistered](), of[PolicySet](), of[LimitSet](), of[RouteReleased](), of[InstructionReleased](), of[InstructionAcknowledged](),
	of[DesignReleased](), of[OrderTaken](), of[OrderChanged](), of[MouldReceived](),
	of[LotReceived](), of[LotReleased](), of[CertificateEntered](), of[QualificationPlanned](), of[FactorSet](), of[FactorProposed](), of[FactorApproved](), of[FactorProposalDropped](), of[ContainerReceived](), of[ContainerOpened](), of[PasteDrawn](),
	of[PasteWasted](), of[ContainerWeighed](), of[ContainerScrapped](), of[ContainerReturned](), of[DifferenceExplained](), of[CouponMade](), of[CouponPlaced](), of[CouponMeasured](),
	of[MachineAdded](), of[FurnaceAdded](), of[GaugeAdded](), of[GaugeCalibrated](), of[GaugeChecked](),
	of[SensorFitted](), of[SensorTested](), of[FurnaceSurveyed](), of[FurnaceTestsSet](), of[FurnaceTestRecorded](), of[RecipeReleased](),
	of[SetterAdded](), of[OvenAdded](), of[CarrierAdded](), of[CarrierChanged](), of[CutterFitted](), of[CutterRemoved](),
	of[ControllerUpdated](), of[MachineChecked](), of[EquipmentServiced](),
	of[ReleaseDrafted](), of[ReleaseSigned](), of[ReleaseWithdrawn](),
	of[TravelerOpened](), of[ReleaseAssigned](), of[StepLeftOut](), of[InsertScrapped](),
	of[PrintStarted](), of[LotChanged](), of[LayersMade](), of[PrintFinished](),
	of[DryingStarted](), of[InsertWeighed](), of[DryingFinished](), of[GreenMeasured](),
	of[LoadOpened](), of[LoadPlaced](), of[LoadTakenOut](), of[LoadClosed](), of[LoadUnloaded](),
	of[TemperingStarted](), of[TemperingFinished](),
	of[ResultRecorded](), of[InspectionFinished](), of[FitUpDone](),
	of[MouldShipped](), of[PutToStock](), of[MouldReturned](), of[InsertReturned](),
	of[NonconformanceRaised](), of[NonconformanceDecided](), of[NonconformanceCancelled](), of[ConcessionGiven](), of[ConcessionWithdrawn](), of[PermitGiven](), of[InsertMarked](), of[StepPaused](), of[StepResumed](),
	of[FormsIssued](), of[FormsCounted](), of[FormChecked](), of[OutageNoted](), of[KeptActLeftOut](), of[DocumentAdded](), of[DocumentFiled](), of[FilingWithdrawn](),
	of[HoldSet](), of[HoldLifted](), of[GateRefused](),
	of[ContainmentBegun](), of[ContainmentLifted](), of[NoticeSent](), of[NoticeAnswered](), of[TraceDrilled](),
)

func decoders(all ...decoder) map[string]func([]byte) (Event, error) {
	m := make(map[string]func([]byte) (Event, error), len(all))
	for _, d := range all {
		m[d.kind] = d.read
	}
	return m
}
