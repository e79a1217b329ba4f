// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/remembered_frames.h"

#include <gtest/gtest.h>

namespace ohmglow::internal {
namespace {

// Frames of 10 x 10 pixels whose values are their index; the third has none.
class Counted final : public FrameSource {
 public:
  [[nodiscard]] int count() const override { return 5; }
  [[nodiscard]] cv::Size size_px() const override { return {10, 10}; }
  void Read(int index, Image& kelvin) override {
    ++readings;
    kelvin = Image(size_px(), static_cast<float>(index));
  }
  [[nodiscard]] std::string Problem(int index) const override {
    return index == 2 ? "cut off" : "";
  }
  int readings = 0;
};

TEST(RememberedFramesTest, ReadsEachFrameOnceWhereAllFit) {
  Counted source;
  RememberedFrames frames(source, 5 * 100 * sizeof(float));
  Image image;
  for (int pass = 0; pass < 3; ++pass) {
    for (const int index : {4, 0, 2, 2, 1}) {
      frames.Read(index, image);
      EXPECT_EQ(image(3, 3), static_cast<float>(index));
      EXPECT_EQ(frames.Problem(index), index == 2 ? "cut off" : "");
      image.setTo(-1);  // The caller's copy is the caller's.
    }
  }
  EXPECT_EQ(source.readings, 4);
}

TEST(RememberedFramesTest, KeepsNoneWhereNotAllFit) {
  Counted source;
  RememberedFrames frames(source, 5 * 100 * sizeof(float) - 1);
  Image image;
  for (int pass = 0; pass < 2; ++pass) {
    for (int index = 0; index < 5; ++index) frames.Read(index, image);
  }
  EXPECT_EQ(source.readings, 10);
  EXPECT_EQ(frames.Problem(2), "cut off");
}

}  // namespace
}  // namespace ohmglow::internal
