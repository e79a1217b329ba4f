// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "case_folder.h"
#include "expect_error.h"
#include "input/count_table.h"
#include "ohmglow/base/error.h"
#include "ohmglow/input/case.h"
#include "ohmglow/input/radiometry.h"

namespace ohmglow {
namespace {

using testing::CaseFolder;
using testing::ExpectError;
using testing::TempFolder;
using testing::WriteTiff;
using Lines = std::vector<std::string>;

TEST(CountTable, GoesThroughItsRowsAndNeverTurnsBack) {
  // Nearly flat, then steep: a common cubic spline would swing below the flat part.
  const CountTable table({0, 10, 20, 30, 31}, {290, 290.1, 290.2, 330, 331});
  EXPECT_EQ(table.Kelvin(0), 290);
  EXPECT_EQ(table.Kelvin(20), 290.2);
  EXPECT_EQ(table.Kelvin(31), 331);
  for (double c = 0.05; c <= 31; c += 0.05) EXPECT_GE(table.Kelvin(c), table.Kelvin(c - 0.05)) << c;
}

TEST(CountTable, IsStraightWhereItsRowsAre) {
  const CountTable two({100, 200}, {300, 280});
  EXPECT_NEAR(two.Kelvin(150), 290, 1e-12);
  const CountTable four({0, 1, 5, 6}, {300, 302, 310, 312});
  EXPECT_NEAR(four.Kelvin(3.7), 307.4, 1e-9);
}

// Rows every 10 K of Planck's integral over 8 to 14 um, read between the rows;
// straight lines between them would be wrong by 0.12 K.
TEST(CountTable, FollowsPlanckBetweenRowsTenKelvinApart) {
  std::vector<double> counts, kelvin;
  for (double t = 253.15; t <= 413.2; t += 10) {
    counts.push_back(100 * BandExitance(t));
    kelvin.push_back(t);
  }
  const CountTable table(counts, kelvin);
  double worst_k = 0;
  double straight_k = 0;
  for (double t = 263.15; t <= 403; t += 0.37) {
    const double count = 100 * BandExitance(t);
    worst_k = std::max(worst_k, std::abs(table.Kelvin(count) - t));
    const auto i = static_cast<std::size_t>((t - 253.15) / 10);
    const double share = (count - counts[i]) / (counts[i + 1] - counts[i]);
    straight_k = std::max(straight_k, std::abs(kelvin[i] + 10 * share - t));
  }
  EXPECT_LT(worst_k, 0.012);
  EXPECT_GT(straight_k, 0.1);
}

TEST(CountTable, HasNoTemperatureBeyondItsRows) {
  const CountTable table({100, 200}, {280, 300});
  EXPECT_TRUE(std::isnan(table.Kelvin(99.9)));
  EXPECT_TRUE(std::isnan(table.Kelvin(200.1)));
  EXPECT_TRUE(std::isnan(table.Kelvin(std::nan(""))));
}

TEST(ReadCountTable, TakesKelvinOrCelsius) {
  const TempFolder folder;
  const auto kelvin = folder.Write("k.csv", "kelvin,count\n280,100\n300,200\n");
  const auto celsius = folder.Write("c.csv", "count,celsius\n100,6.85\n200,26.85\n");
  EXPECT_NEAR(ReadCountTable(kelvin, "frames.table").Kelvin(150), 290, 1e-9);
  EXPECT_NEAR(ReadCountTable(celsius, "frames.table").Kelvin(150), 290, 1e-9);
}

TEST(ReadCountTable, NamesTheRowThatCannotBe) {
  const TempFolder folder;
  const auto expect = [&](const std::string& text, const Lines& parts) {
    const auto file = folder.Write("t.csv", text);
    ExpectError<InputError>([&] { (void)ReadCountTable(file, "frames.table"); }, parts);
  };
  expect("count,kelvin\n1,300\n", {"t.csv: has 1 rows", "two or more"});
  expect("count,kelvin\n1,300\n1,301\n", {"row 3", "count", "rise from row to row"});
  expect("count,kelvin\n1,300\n2,301\n3,300.5\n", {"row 4", "kelvin", "'300.5'", "turns back"});
  expect("count,kelvin\n1,300\n2,300\n", {"row 3", "stops or turns back"});
  expect("count,degrees\n1,300\n2,301\n", {"kelvin"});
}

// Frames of one value, of a case with no scale but what a test sets.
class ScaleCase {
 public:
  explicit ScaleCase(int count) {
    const cv::Mat page(8, 12, CV_16U, cv::Scalar(count));
    WriteTiff(folder_.folder() / "frames.tiff", {page, page, page, page});
    folder_.Remove("frames.scale");
    folder_.Remove("frames.zero");
  }
  CaseFolder& folder() { return folder_; }
  [[nodiscard]] double FirstKelvin() const {
    const Case job = LoadCase(folder_.Ini());
    Image kelvin;
    job.frames->Read(0, kelvin);
    return static_cast<double>(kelvin(0, 0));
  }

 private:
  CaseFolder folder_;
};

TEST(LoadCase, TurnsCountsIntoKelvinByATable) {
  ScaleCase scale(150);
  scale.folder().folder().Write("t.csv", "count,kelvin\n100,290\n200,310\n");
  scale.folder().Set("frames.table", "t.csv");
  scale.folder().Set("surface.emissivity", "1");
  EXPECT_NEAR(scale.FirstKelvin(), 300, 1e-4);
  // No default of the linear scale took part.
  EXPECT_EQ(ToTexts(LoadCase(scale.folder().Ini()).assumed), Lines{});
}

TEST(LoadCase, TurnsCountsIntoKelvinByACurveAndAWindow) {
  const SignalCurve curve{16000, 9.4, 178, 1200};
  const double board = 0.9 * curve.Radiance(310) + 0.1 * curve.Radiance(273.15 + 21.5);
  const double counts = 1200 + 0.7 * board + 0.3 * curve.Radiance(273.15 + 30);
  ScaleCase scale(static_cast<int>(std::lround(counts)));
  scale.folder().Set("frames.curve_gain", "16000");
  scale.folder().Set("frames.curve_wavelength_um", "9.4");
  scale.folder().Set("frames.curve_shift_um_k", "178");
  scale.folder().Set("frames.curve_dark", "1200");
  scale.folder().Set("surface.window_transmission", "0.7");
  scale.folder().Set("surface.window_c", "30");
  // Half a count of rounding.
  EXPECT_NEAR(scale.FirstKelvin(), 310, 0.6 / (0.63 * curve.RadianceSlope(310)));
  EXPECT_EQ(LoadCase(scale.folder().Ini()).window_transmission, 0.7);
}

TEST(LoadCase, TellsAWindowThatIsTakenToBeAsWarmAsTheRoom) {
  ScaleCase scale(30000);
  scale.folder().Set("frames.scale", "0.01");
  scale.folder().Set("frames.zero", "0");
  scale.folder().Set("surface.window_transmission", "0.8");
  EXPECT_EQ(ToTexts(LoadCase(scale.folder().Ini()).assumed),
            Lines{"surface.window_c = 21.5 degrees Celsius"});
}

TEST(LoadCase, RefusesTwoScalesAndHalfACurve) {
  const auto expect = [](const std::vector<std::pair<std::string, std::string>>& keys,
                         const Lines& parts) {
    ScaleCase scale(150);
    scale.folder().folder().Write("t.csv", "count,kelvin\n100,290\n200,310\n");
    for (const auto& [name, value] : keys) scale.folder().Set(name, value);
    ExpectError<InputError>([&] { (void)LoadCase(scale.folder().Ini()); }, parts);
  };
  expect({{"frames.table", "t.csv"}, {"frames.scale", "0.01"}},
         {"line ", "frames.scale and frames.table", "remove"});
  expect({{"frames.table", "t.csv"}, {"frames.curve_gain", "5"}}, {"frames.curve_gain and"});
  expect({{"frames.curve_gain", "5"}}, {"frames.curve_wavelength_um is missing"});
  expect({{"frames.curve_dark", "5"}}, {"frames.curve_gain is missing"});
  expect({{"frames.curve_gain", "x"}, {"frames.curve_wavelength_um", "9"}},
         {"frames.curve_gain = 'x' is not a finite number"});
  expect({{"frames.curve_gain", "-5"}, {"frames.curve_wavelength_um", "9"}},
         {"cannot be turned round", "gain = -5"});
  expect({{"frames.curve_gain", "5"}, {"frames.curve_wavelength_um", "9"}},
         {"median count 150", "no temperature", "frames.curve_*"});
  expect({{"frames.table", "none.csv"}}, {"none.csv: no such file"});
  expect({{"frames.table", ""}}, {"is empty"});
  expect({{"surface.window_transmission", "0"}}, {"window_transmission", "(0, 1]"});
  expect({{"surface.window_c", "-300"}}, {"window_c", "-100 .. 1000"});
}

TEST(LoadCase, RefusesATableThatDoesNotReachTheFrames) {
  ScaleCase scale(900);
  scale.folder().folder().Write("t.csv", "count,kelvin\n100,290\n200,310\n");
  scale.folder().Set("frames.table", "t.csv");
  ExpectError<InputError>([&] { (void)LoadCase(scale.folder().Ini()); },
                          {"median count 900", "no temperature", "from 100 to 200"});
}

}  // namespace
}  // namespace ohmglow
