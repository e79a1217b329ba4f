// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/part_form.h"

#include <gtest/gtest.h>

namespace ohmglow {
namespace {

Part Of(const char* ref, const char* kind, double width_mm, double height_mm) {
  return {ref, {10, 10}, width_mm, height_mm, BoardSide::kTop, kind};
}

const Part kChip = Of("C1", "cap", 2, 1);
const Part kCircuit = Of("U1", "ic", 5, 5);
const Part kPower = Of("Q1", "mosfet", 5, 6);

TEST(ClassOf, ReadsTheKindAndElseTheReference) {
  EXPECT_EQ(ClassOf(kChip), PartClass::kChip);
  EXPECT_EQ(ClassOf(kCircuit), PartClass::kMoulded);
  EXPECT_EQ(ClassOf(kPower), PartClass::kPower);
  EXPECT_EQ(ClassOf(Of("R12", "", 2, 1)), PartClass::kChip);
  EXPECT_EQ(ClassOf(Of("U3", "", 5, 5)), PartClass::kMoulded);
  EXPECT_EQ(ClassOf(Of("SH1", "", 9, 9)), PartClass::kCover);
  EXPECT_EQ(ClassOf(Of("X1", "", 5, 5)), PartClass::kOther);
  EXPECT_EQ(ClassOf(Of("U3", "Cap", 5, 5)), PartClass::kChip);  // The kind counts first.
}

TEST(ShortWeight, KnowsWhatBreaksDownToAShort) {
  EXPECT_EQ(ShortWeight(kChip), ShortWeight(kCircuit));
  EXPECT_LT(ShortWeight(Of("R1", "res", 2, 1)), 0.5 * ShortWeight(kChip));
  EXPECT_LT(ShortWeight(Of("J1", "connector", 5, 12)), 0.5 * ShortWeight(kChip));
}

// What one watt does on finite-element boards (92 views of 46 sources on six
// boards, computed by this project, no outside source): widths at half and half of the 5 s rise.
TEST(FormDensity, PrefersTheKindThatFiniteElementsShow) {
  const HeatForm chip = {2.5, 0.5, 1, 0.02};
  EXPECT_GT(FormDensity(chip, kChip, true), 10 * FormDensity(chip, kCircuit, true));
  EXPECT_GT(FormDensity(chip, kChip, true), 10 * FormDensity(chip, kChip, false));
  const HeatForm moulded = {6, 1.6, 1, 0.02};
  EXPECT_GT(FormDensity(moulded, kCircuit, true), 10 * FormDensity(moulded, kChip, true));
  EXPECT_GT(FormDensity(moulded, kCircuit, true), 10 * FormDensity(moulded, kChip, false));
  const HeatForm far = {10, 2.5, 1, 0.02};
  EXPECT_GT(FormDensity(far, kChip, false), 10 * FormDensity(far, kChip, true));
  EXPECT_GT(FormDensity(far, kChip, false), 10 * FormDensity(far, kCircuit, true));
}

TEST(FormDensity, ExpectsABodyAsWideAsItIs) {
  const HeatForm wide = {10, 1.5, 1, 0.02};
  EXPECT_GT(FormDensity(wide, Of("U1", "ic", 10, 10), true), FormDensity(wide, kCircuit, true));
}

TEST(FormDensity, TellsLessWithMoreNoise) {
  const auto ratio = [](double log_sigma) {
    const HeatForm form = {2.5, 0.5, 1, log_sigma};
    return FormDensity(form, kChip, true) / FormDensity(form, kChip, false);
  };
  EXPECT_GT(ratio(0.02), 2 * ratio(0.5));
  EXPECT_NEAR(ratio(9), 1, 0.4);
  EXPECT_EQ(FormDensity({}, kChip, true), 1);  // Not measured.
}

// A form like none of the laws must not settle anything by itself.
TEST(FormDensity, KeepsRoomForWhatItDoesNotKnow) {
  const HeatForm odd = {25, 0.05, 1, 0.01};
  const double ratio = FormDensity(odd, kChip, true) / FormDensity(odd, kChip, false);
  EXPECT_NEAR(ratio, 1, 0.2);
}

TEST(UnlistedFormDensity, LeavesAMiddlingFormUndecided) {
  const HeatForm middling = {7.5, 1.9, 1, 0.03};
  const double ratio = UnlistedFormDensity(middling, true) / UnlistedFormDensity(middling, false);
  EXPECT_GT(ratio, 0.2);
  EXPECT_LT(ratio, 5);
  const HeatForm chip = {3, 0.3, 1, 0.03};
  EXPECT_GT(UnlistedFormDensity(chip, true), 10 * UnlistedFormDensity(chip, false));
}

TEST(HasMetalTop, IsAShieldOrACan) {
  EXPECT_TRUE(HasMetalTop({"SH1", {}, 20, 15, BoardSide::kTop, ""}));
  EXPECT_TRUE(HasMetalTop({"X3", {}, 20, 15, BoardSide::kTop, "can"}));
  EXPECT_FALSE(HasMetalTop({"U3", {}, 20, 15, BoardSide::kTop, "ic"}));
}

}  // namespace
}  // namespace ohmglow
