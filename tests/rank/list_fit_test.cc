// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/list_fit.h"

#include <gtest/gtest.h>

#include <opencv2/imgproc.hpp>
#include <random>
#include <vector>

#include "ohmglow/base/remark_kind.h"

namespace ohmglow {
namespace {

constexpr double kPhotoPxPerMm = 8;
constexpr double kFramePxPerMm = 2;

// Twenty bodies of a board of 60 mm x 40 mm, so many side by side.
std::vector<Part> List(unsigned seed, int columns = 5) {
  const int rows = 20 / columns;
  std::mt19937 random(seed);
  std::uniform_real_distribution<double> unit(0, 1);
  std::vector<Part> parts;
  for (int n = 0; n < 20; ++n) {
    parts.push_back({"C" + std::to_string(n + 1),
                     {(n % columns + 0.4 + 0.2 * unit(random)) * 60 / columns,
                      (n / columns + 0.4 + 0.2 * unit(random)) * 40 / rows},
                     2 + 3 * unit(random),
                     1.5 + 3 * unit(random),
                     BoardSide::kTop,
                     "chip"});
  }
  return parts;
}

cv::Mat PhotoOf(const std::vector<Part>& parts) {
  cv::Mat photo(340, 520, CV_8U, cv::Scalar(100));
  for (const Part& part : parts) {
    const Point corner = part.center_mm - 0.5 * Point(part.width_mm, part.height_mm);
    cv::rectangle(photo,
                  cv::Rect(cv::Point(corner * kPhotoPxPerMm),
                           cv::Size(static_cast<int>(part.width_mm * kPhotoPxPerMm),
                                    static_cast<int>(part.height_mm * kPhotoPxPerMm))),
                  cv::Scalar(50),
                  cv::FILLED);
  }
  cv::Mat noise(photo.size(), CV_8U);
  cv::RNG generator(5);
  generator.fill(noise, cv::RNG::NORMAL, 20, 4);
  photo += noise;
  cv::cvtColor(photo, photo, cv::COLOR_GRAY2BGR);
  return photo;
}

Case CaseOf(const std::vector<Part>& listed, const std::vector<Part>& filmed) {
  Case job;
  job.side = BoardSide::kTop;
  job.parts = listed;
  job.photo = PhotoOf(filmed);
  return job;
}

// The frame straight over the board, landmarks off by `off_mm`.
BoardMaps Maps(double off_mm = 0) {
  BoardMaps maps;
  const double photo_px = kPhotoPxPerMm / kFramePxPerMm;
  maps.photo_from_frame = PlaneMap{{photo_px, 0, 0, 0, photo_px, 0, 0, 0, 1}};
  maps.board_from_frame =
      PlaneMap{{1 / kFramePxPerMm, 0, off_mm, 0, 1 / kFramePxPerMm, -off_mm, 0, 0, 1}};
  return maps;
}

TEST(ListFits, IsSureOfTheBoardsOwnList) {
  for (const unsigned seed : {1U, 2U, 3U}) {
    EXPECT_EQ(ListFits(CaseOf(List(seed), List(seed)), Maps()), 1);
    EXPECT_EQ(ListFits(CaseOf(List(seed), List(seed)), Maps(0.7)), 1);
    EXPECT_TRUE(DoubtOfList(ListFits(CaseOf(List(seed), List(seed)), Maps())).empty());
  }
}

TEST(ListFits, DoubtsAnotherBoardsList) {
  for (const unsigned seed : {1U, 2U, 3U}) {
    const double fits = ListFits(CaseOf(List(seed), List(seed, 4)), Maps());
    EXPECT_LT(fits, 0.9);
    EXPECT_EQ(DoubtOfList(fits).kind, RemarkKind::kListPerhapsOther);
  }
}

TEST(ListFits, HoldsNoPhotoAgainstTheListThatShowsNoEdges) {
  Case job = CaseOf(List(1), List(1));
  cv::GaussianBlur(job.photo, job.photo, {}, 20);
  EXPECT_EQ(ListFits(job, Maps()), 1);
  job.photo = cv::Scalar(96, 96, 96);
  EXPECT_EQ(ListFits(job, Maps()), 1);
}

TEST(ListFits, SaysNothingWithoutAPhotoThatLandmarksTie) {
  Case job = CaseOf(List(1), List(1, 4));
  BoardMaps maps = Maps();
  maps.board_trust = 0.97;
  EXPECT_EQ(ListFits(job, maps), 1);
  maps = Maps();
  maps.photo_from_frame.reset();
  EXPECT_EQ(ListFits(job, maps), 1);
  job.photo = cv::Mat();
  EXPECT_EQ(ListFits(job, Maps()), 1);
}

}  // namespace
}  // namespace ohmglow
