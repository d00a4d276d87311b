"""The documents of /api hold what the workshop answers, field by field, and its pages agree."""

from __future__ import annotations

from dataclasses import fields

import pytest
from pydantic import BaseModel

from heapwright.advice import types as advice
from heapwright.finish import types as finish
from heapwright.garden import beds_types, ledger_types, nitrogen, site_types
from heapwright.journal import entries
from heapwright.quantities import UnitSystem
from heapwright.season import between, shift
from heapwright.sentences import Reader
from heapwright.web import api_compare_models as compare_models
from heapwright.web import api_diagnose_models as diagnose_models
from heapwright.web import api_garden_models as garden_models
from heapwright.web import api_ledger_models as ledger_models
from heapwright.web import api_models as models
from heapwright.web import api_ready_models as ready_models
from heapwright.web import api_timeline_models as timeline_models
from heapwright.web import api_whatif_models as whatif_models
from heapwright.workshop import (
    answers,
    batch_story_answer,
    beds_answer,
    compare_answer,
    diagnose_answer,
    ledger_answer,
    ready_answer,
    ready_tests,
    site_answer,
    timeline,
    whatif_answer,
)
from heapwright.workshop.plain import to_plain
from tests.browser import samples

MIRRORED = [
    (models.IntervalModel, advice.Interval),
    (models.AdviceModel, advice.Advice),
    (models.BinModel, entries.BinState),
    (models.LotModel, entries.LotState),
    (models.ReadingModel, answers.ReadingShown),
    (models.ForecastModel, answers.Forecast),
    (models.BinTodayModel, answers.BinToday),
    (models.WeatherModel, answers.WeatherToday),
    (models.TodayModel, answers.TodayAnswer),
    (models.CrossSectionModel, answers.CrossSection),
    (models.HeatShareModel, answers.HeatShare),
    (models.EventModel, answers.EventShown),
    (models.BinAnswerModel, answers.BinAnswer),
    (ready_models.UseModel, finish.Use),
    (ready_models.UseStateModel, finish.UseState),
    (ready_models.AspectStateModel, finish.AspectState),
    (ready_models.JudgedModel, finish.Judged),
    (ready_models.GuideModel, finish.Guide),
    (ready_models.TestDoneModel, ready_tests.TestDone),
    (ready_models.ReadyDateModel, ready_answer.ReadyDate),
    (ready_models.ExpectedModel, ready_answer.Expected),
    (ready_models.ReadyModel, ready_answer.Ready),
    (timeline_models.PieceModel, timeline.Piece),
    (timeline_models.MarkModel, timeline.Mark),
    (timeline_models.BatchLineModel, timeline.BatchLine),
    (timeline_models.TimelineModel, timeline.Timeline),
    (garden_models.BedModel, beds_types.Bed),
    (garden_models.LayerModel, beds_types.Layer),
    (garden_models.VolumeModel, beds_types.Volume),
    (garden_models.CautionModel, beds_types.Caution),
    (garden_models.NitrogenModel, nitrogen.Nitrogen),
    (garden_models.SpreadModel, beds_answer.SpreadLine),
    (garden_models.BedLineModel, beds_answer.BedLine),
    (garden_models.ExpectedCompostModel, beds_answer.ExpectedCompost),
    (garden_models.BedsModel, beds_answer.Beds),
    (garden_models.SiteModel, site_types.Site),
    (garden_models.ClimateYearModel, site_types.ClimateYear),
    (garden_models.YearlyMaterialModel, site_types.YearlyMaterial),
    (garden_models.HarvestModel, site_types.Harvest),
    (garden_models.BinsModel, site_types.Bins),
    (garden_models.RectModel, site_types.Rect),
    (garden_models.FloorPlanModel, site_types.FloorPlan),
    (garden_models.DistanceExampleModel, site_types.DistanceExample),
    (garden_models.ToolModel, site_types.Tool),
    (garden_models.MaterialLineModel, site_answer.MaterialLine),
    (garden_models.SiteAnswerModel, site_answer.SiteAnswer),
    (ledger_models.RangeModel, ledger_types.Range),
    (ledger_models.SumsModel, ledger_types.Sums),
    (ledger_models.PricesModel, ledger_types.Prices),
    (ledger_models.MoneyModel, ledger_types.Money),
    (ledger_models.MonthDoneModel, ledger_answer.MonthDone),
    (ledger_models.MonthAheadModel, ledger_answer.MonthAhead),
    (ledger_models.FactorModel, ledger_answer.Factor),
    (ledger_models.CarbonModel, ledger_answer.Carbon),
    (ledger_models.LedgerModel, ledger_answer.Ledger),
    (compare_models.BetweenModel, between.Between),
    (compare_models.MiddleModel, between.Middle),
    (compare_models.ShiftModel, shift.Shift),
    (compare_models.WentInModel, batch_story_answer.WentIn),
    (compare_models.DayHeatModel, compare_answer.DayHeat),
    (compare_models.DoneOnModel, compare_answer.DoneOn),
    (compare_models.WeatherStoodModel, compare_answer.WeatherStood),
    (compare_models.HotForModel, compare_answer.HotFor),
    (compare_models.HeapComparedModel, compare_answer.HeapCompared),
    (compare_models.FindingModel, compare_answer.Finding),
    (compare_models.HeapNamedModel, compare_answer.HeapNamed),
    (compare_models.OutcomeMiddleModel, compare_answer.OutcomeMiddle),
    (compare_models.ComparisonModel, compare_answer.Comparison),
    (whatif_models.WhatIfRowModel, whatif_answer.WhatIfRow),
    (whatif_models.NotPossibleModel, whatif_answer.NotPossible),
    (whatif_models.WhatIfModel, whatif_answer.WhatIf),
    (diagnose_models.CauseModel, diagnose_answer.CauseShown),
    (diagnose_models.OutcomeModel, diagnose_answer.OutcomeShown),
    (diagnose_models.CheckModel, diagnose_answer.CheckShown),
    (diagnose_models.AfterRemedyModel, diagnose_answer.AfterRemedy),
    (diagnose_models.RemedyModel, diagnose_answer.RemedyShown),
    (diagnose_models.DiagnosisModel, diagnose_answer.Diagnosis),
]


@pytest.mark.parametrize("model, answer", MIRRORED, ids=[answer.__name__ for _, answer in MIRRORED])
def test_a_document_has_exactly_the_fields_of_its_answer(
    model: type[BaseModel], answer: type
) -> None:
    assert list(model.model_fields) == [field.name for field in fields(answer)]


def test_hand_made_answers_pass_through_the_documents_unchanged() -> None:
    reader = Reader(UnitSystem.METRIC)
    plain = to_plain(samples.today_answer(), reader)
    assert models.TodayModel.model_validate(plain).model_dump(mode="json") == plain
    plain = to_plain(samples.bin_answer(), reader)
    assert models.BinAnswerModel.model_validate(plain).model_dump(mode="json") == plain
