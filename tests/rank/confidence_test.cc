// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/confidence.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <string>

#include "ohmglow/base/error.h"
#include "ohmglow/rank/rank_options.h"
#include "support/said.h"

namespace ohmglow {
namespace {

constexpr double kThreshold = 4.8;

// A round, clear spot that follows current squared, on the board, far from the leads.
Spot GoodSpot() {
  Spot spot;
  spot.peak = {{40, 30}, 0.5};
  spot.snr = 30;
  spot.rise_k = 1;
  spot.rise_z = 100;
  spot.shape.width_px = 5;
  spot.shape.length_px = 5;
  spot.course = {2.0, 0.1, 1.5, 30, -8, -20, -20};
  spot.power_w = 0.2;
  spot.on_board = true;
  spot.parts.parts = {{"C7", 0.98}};
  spot.parts.prob_none = 0.02;
  spot.parts.prob_this_side = 1;
  return spot;
}

std::string Remarks(const Judgement& judgement) {
  std::string all;
  for (const Remark& remark : judgement.remarks) all += Say(remark) + "\n";
  return all;
}

TEST(JudgeSpot, BelievesAGoodSpot) {
  const Judgement judgement = JudgeSpot(GoodSpot(), kThreshold);
  EXPECT_GT(judgement.plausibility(), 0.9);
  EXPECT_LE(judgement.plausibility(), 1);
  // Only the measured exponent is worth a sentence.
  ASSERT_EQ(judgement.remarks.size(), 1U) << Remarks(judgement);
  EXPECT_TRUE(testing::Says(judgement.remarks[0], "2.00 +- 0.20"));
}

TEST(JudgeSpot, KeepsTheFactorsWhoseProductAreTheOdds) {
  Spot spot = GoodSpot();
  spot.contact_mm = 1;
  spot.on_board = false;
  const Judgement judgement = JudgeSpot(spot, kThreshold);
  double odds = 1;
  for (const Evidence& piece : judgement.evidence) odds *= piece.factor;
  EXPECT_NEAR(std::log(odds), judgement.log_odds, 1e-9);
  EXPECT_NEAR(judgement.plausibility(), odds / (1 + odds), 1e-9);
  const auto contact =
      std::find_if(judgement.evidence.begin(), judgement.evidence.end(), [](const Evidence& piece) {
        return piece.name == "is no lead contact";
      });
  ASSERT_NE(contact, judgement.evidence.end());
  EXPECT_LT(contact->factor, 0.5);
  EXPECT_NEAR(contact->value, -std::exp(-std::pow(1 / 2.2, 4)), 1e-9);
}

// Strong heat that obeys the steps, 4 mm beside the only part of the list.
Spot AstraySpot(double far_prob) {
  Spot spot = GoodSpot();
  spot.snr = 300;
  spot.far_prob = far_prob;
  spot.parts.parts = {{"C5", 0.05}};
  spot.parts.prob_none = 0.95;
  return spot;
}

TEST(JudgeSpot, OwnsStrongHeatThatNoPartOfTheListExplains) {
  const Judgement through = JudgeSpot(AstraySpot(0.7), kThreshold);
  EXPECT_GT(through.plausibility(), 0.6);
  EXPECT_NE(Remarks(through).find("other side"), std::string::npos);
  // From this side a track may warm as well: said, not called a fault.
  const Judgement near = JudgeSpot(AstraySpot(0.02), kThreshold);
  EXPECT_LT(near.plausibility(), 0.6);
  EXPECT_NE(Remarks(near).find("a track or lead"), std::string::npos);
}

// Another board's list: what takes most of what the supply gives is no track.
TEST(JudgeSpot, OwnsNearHeatBesideTheListByWhatItTakesOfTheSupply) {
  const auto owned = [](double share, double contacts_known) {
    Spot spot = AstraySpot(0.02);
    spot.share = share;
    spot.contacts_known = contacts_known;
    return JudgeSpot(spot, kThreshold).plausibility();
  };
  EXPECT_GT(owned(0.6, 1), 0.6);
  EXPECT_LT(owned(0.05, 1), 0.5);
  EXPECT_LT(owned(0.05, 1), owned(0.2, 1));
  // Where no contacts are marked it may be theirs.
  EXPECT_LT(owned(0.6, 0), 0.2);
}

TEST(JudgeSpot, OwnsNoFaintOrDisturbedHeatBesideTheList) {
  const double owned = JudgeSpot(AstraySpot(0.7), kThreshold).plausibility();
  const std::function<void(Spot&)> changes[] = {
      [](Spot& s) { s.snr = 1.5 * kThreshold; },
      [](Spot& s) { s.course.log_smooth = 6; },
      [](Spot& s) { s.contact_mm = 2; },
      [](Spot& s) { s.at_rim = true; },
      [](Spot& s) { s.spread_ratio = 20; },
      [](Spot& s) { s.carrier_prob = 1; },
  };
  for (const auto& change : changes) {
    Spot spot = AstraySpot(0.7);
    change(spot);
    EXPECT_LT(JudgeSpot(spot, kThreshold).plausibility(), std::min(0.5, owned));
  }
}

TEST(JudgeAmongOthers, LowersTheFarWeakerPlaceAlone) {
  Judgement strong = JudgeSpot(GoodSpot(), kThreshold);
  Judgement weak = strong;
  const double before = strong.log_odds;
  JudgeAmongOthers(0.2, 0.2, strong);
  EXPECT_NEAR(strong.log_odds, before, 1e-12);
  JudgeAmongOthers(0.002, 0.2, weak);
  EXPECT_LT(weak.log_odds, before - 1);
  EXPECT_NEAR(weak.evidence.back().value, std::log(0.01), 1e-9);
}

TEST(JudgeSpot, BelievesAJunction) {
  Spot spot = GoodSpot();
  spot.course.exponent = 1.05;
  spot.course.log_junction = 8;
  EXPECT_GT(JudgeSpot(spot, kThreshold).plausibility(), 0.9);
}

TEST(JudgeSpot, LowersEveryEvidenceAgainstItAndSaysSo) {
  const struct {
    const char* word;
    double at_most;
    std::function<void(Spot&)> change;
  } rows[] = {
      {"above the noise", 0.85, [](Spot& s) { s.snr = kThreshold; }},
      {"by itself", 0.5, [](Spot& s) { s.course.log_by_itself = 20; }},
      {"smooth", 0.5, [](Spot& s) { s.course.log_smooth = 20; }},
      {"neither ohmic loss", 0.5, [](Spot& s) { s.course.exponent = 3.6; }},
      {"neither ohmic loss", 0.5, [](Spot& s) { s.course.exponent = 0.2; }},
      {"halo", 0.5, [](Spot& s) { s.halo_ratio = 1.5; }},
      {"by design", 0.7, [](Spot& s) { s.carrier_prob = 1; }},
      {"edge of the picture", 0.7, [](Spot& s) { s.at_rim = true; }},
      {"lead contact", 0.2, [](Spot& s) { s.contact_mm = 0.5; }},
      {"lead wire",
       0.3,
       [](Spot& s) {
         s.shape.elongation = 6;
         s.shape.length_px = 40;
         s.shape.leaves_view = true;
       }},
      {"track",
       0.5,
       [](Spot& s) {
         s.shape.elongation = 6;
         s.shape.length_px = 40;
       }},
      {"about 9 mm: a track",
       0.01,
       [](Spot& s) {
         s.fit.line.length_mm = 9;
         s.fit.line.log_over_round = 40;
       }},
      {"track", 0.01, [](Spot& s) { s.log_on_line = 40; }},
      {"beyond the parts", 0.3, [](Spot& s) { s.on_board = false; }},
  };
  const double good = std::exp(JudgeSpot(GoodSpot(), kThreshold).log_odds);
  // How much it tells that the place itself warms is for the captures to say; never for a fault
  // where it does not.
  Spot cold = GoodSpot();
  cold.rise_z = 0.1;
  EXPECT_LT(std::exp(JudgeSpot(cold, kThreshold).log_odds), good);
  for (const auto& row : rows) {
    Spot spot = GoodSpot();
    row.change(spot);
    const Judgement judgement = JudgeSpot(spot, kThreshold);
    EXPECT_LT(std::exp(judgement.log_odds), row.at_most * good) << row.word;
    EXPECT_GT(judgement.plausibility(), 0) << row.word;
    EXPECT_NE(Remarks(judgement).find(row.word), std::string::npos)
        << row.word << ": " << Remarks(judgement);
  }
}

// What is warmer than half of a faint place is noise, however long.
TEST(JudgeSpot, CallsNoFaintPlaceLong) {
  Spot spot = GoodSpot();
  spot.snr = 8;
  const double round = JudgeSpot(spot, kThreshold).log_odds;
  spot.shape.elongation = 6;
  spot.shape.length_px = 40;
  EXPECT_EQ(JudgeSpot(spot, kThreshold).log_odds, round);
}

// A short bent piece of heat, or one that a round source fits as well, is no track.
TEST(JudgeSpot, BelievesALineOnlyWhereItIsLongAndFitsBetter) {
  const double good = JudgeSpot(GoodSpot(), kThreshold).log_odds;
  Spot spot = GoodSpot();
  spot.fit.line.length_mm = 3;
  spot.fit.line.log_over_round = 40;
  EXPECT_NEAR(JudgeSpot(spot, kThreshold).log_odds, good, 0.01);
  spot.fit.line.length_mm = 9;
  spot.fit.line.log_over_round = -5;
  EXPECT_NEAR(JudgeSpot(spot, kThreshold).log_odds, good, 0.01);
}

// A pour that a short warms as a whole is nearer to a line than to a round source.
TEST(IsPour, IsWideAndTakesMuchOfThePower) {
  constexpr double kSupplyW = 2;
  Spot spot = GoodSpot();
  spot.mm_per_pixel = 0.5;
  spot.fit.line.length_mm = 10;
  spot.fit.line.power_w = 1.6;
  spot.shape.length_px = 50;
  spot.shape.elongation = 1.5;
  EXPECT_TRUE(IsPour(spot, kSupplyW));
  EXPECT_FALSE(IsPour(spot, 0)) << "no volts are known";
  spot.fit.line.power_w = 0.1;
  EXPECT_FALSE(IsPour(spot, kSupplyW)) << "a track in a pour";
  spot.fit.line.power_w = 1.6;
  spot.shape.elongation = 6;
  EXPECT_FALSE(IsPour(spot, kSupplyW)) << "a track that is a fuse";
}

// A part at the end of a doubtful line is not lost by it.
TEST(JudgeSpot, LosesNoMoreThanTheLineIsSure) {
  const double good = JudgeSpot(GoodSpot(), kThreshold).log_odds;
  Spot spot = GoodSpot();
  spot.log_on_line = 0.05;
  EXPECT_GT(JudgeSpot(spot, kThreshold).log_odds, good - 1);
  spot.log_on_line = 3;
  EXPECT_LT(JudgeSpot(spot, kThreshold).log_odds, good - 2);
  // What is told is how long that line is, not the patch of the weaker place.
  spot.on_line_mm = 17;
  EXPECT_TRUE(testing::Says(JudgeSpot(spot, kThreshold).remarks, "about 17 mm: a track"));
}

TEST(JudgeSpot, GrowsWithTheSignalAndTheDistanceFromALead) {
  double last = 0;
  for (const double snr : {3.0, 4.0, 5.0, 6.0, 9.0}) {
    Spot spot = GoodSpot();
    spot.snr = snr;
    const double now = JudgeSpot(spot, kThreshold).plausibility();
    EXPECT_GT(now, last);
    last = now;
  }
  last = 0;
  for (const double mm : {0.5, 1.5, 2.5, 4.0}) {
    Spot spot = GoodSpot();
    spot.contact_mm = mm;
    const double now = JudgeSpot(spot, kThreshold).plausibility();
    EXPECT_GT(now, last);
    last = now;
  }
}

TEST(JudgeSpot, SaysWhatTheExponentMeans) {
  const auto words = [](double exponent, double sigma) {
    Spot spot = GoodSpot();
    spot.course.exponent = exponent;
    spot.course.exponent_sigma = sigma;
    return Remarks(JudgeSpot(spot, kThreshold));
  };
  EXPECT_NE(words(1.95, 0.1).find("square of the current, as a resistance's"), std::string::npos);
  EXPECT_NE(words(1.1, 0.1).find("in step with the current, as a diode's"), std::string::npos);
  for (const std::string& open : {words(1.5, 0.1), words(1.5, 0.4)}) {
    EXPECT_EQ(open.find("square of"), std::string::npos);
    EXPECT_EQ(open.find("in step"), std::string::npos);
    EXPECT_NE(open.find("power of 1.50"), std::string::npos);
  }
}

// A halo that may be a seventh of the reason explains nothing.
TEST(JudgeSpot, ExplainsByAHaloOnlyWhatItExplains) {
  Spot spot = GoodSpot();
  spot.halo_ratio = 0.64;
  EXPECT_EQ(Remarks(JudgeSpot(spot, kThreshold)).find("halo"), std::string::npos);
}

TEST(JudgeSpot, HoldsNothingAgainstAnUnknownOutline) {
  Spot spot = GoodSpot();
  spot.on_board.reset();
  const double known = JudgeSpot(GoodSpot(), kThreshold).plausibility();
  const double unknown = JudgeSpot(spot, kThreshold).plausibility();
  EXPECT_GT(unknown, 0.8);
  EXPECT_LT(unknown, known);  // That a part sits there would speak for it.
}

TEST(RankOptions, NameFieldRuleAndValue) {
  const auto message = [](const RankOptions& options) {
    try {
      options.Validate();
    } catch (const OptionError& error) {
      return std::string(error.what());
    }
    return std::string();
  };
  EXPECT_EQ(message({}), "");
  RankOptions options;
  options.false_alarm_prob = 0.5;
  EXPECT_NE(message(options).find("RankOptions::false_alarm_prob"), std::string::npos);
  EXPECT_NE(message(options).find("between 0 and 0.5; it is 0.5"), std::string::npos);
  options = {};
  options.max_candidates = 0;
  EXPECT_NE(message(options).find("max_candidates must be at least 1; it is 0"), std::string::npos);
}

}  // namespace
}  // namespace ohmglow
