// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "series_pages.h"

#include <algorithm>
#include <map>
#include <tuple>
#include <utility>

#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

using Shape = std::tuple<int, int, int>;  // Width, height, type.

Shape ShapeOf(const CountPages& pages) {
  return {pages.size_px().width, pages.size_px().height, pages.type()};
}

std::string Text(const Shape& shape) {
  return std::to_string(std::get<0>(shape)) + " x " + std::to_string(std::get<1>(shape));
}

}  // namespace

SeriesPages::SeriesPages(std::unique_ptr<FrameFiles> files, FrameFormat format)
    : files_(std::move(files)), format_(std::move(format)) {
  std::vector<Shape> shapes(static_cast<std::size_t>(count()));
  std::map<Shape, int> counts;
  std::string problem;
  int lost = 0;
  for (int i = 0; i < count(); ++i) {
    try {
      const auto pages = Open(i);
      const Shape shape = ShapeOf(*pages);
      shapes[static_cast<std::size_t>(i)] = shape;
      ++counts[shape];
      headings_.TakeFrame(pages->Headings());
    } catch (const InputError& error) {
      headings_.EndHeading();
      ++lost;
      if (problem.empty()) problem = error.what();
    }
  }
  if (counts.empty()) throw InputError(problem);
  // Of two sizes that are as frequent the first file's.
  Shape usual = shapes.front();
  for (const auto& [shape, number] : counts) {
    if (counts.count(usual) == 0 || number > counts[usual]) usual = shape;
  }
  for (int i = 0; i < count(); ++i) {
    const Shape& shape = shapes[static_cast<std::size_t>(i)];
    if (shape == usual || shape == Shape()) continue;
    ++lost;
    if (!problem.empty()) continue;
    problem = files_->Path(i) + ": is " + Text(shape) + " px and the other files " + Text(usual) +
              " px, or of another sample type; all frames must be alike";
  }
  if (!FewLost(lost, count())) throw InputError(problem);
  size_px_ = {std::get<0>(usual), std::get<1>(usual)};
  type_ = std::get<2>(usual);
}

std::unique_ptr<CountPages> SeriesPages::Open(int page) const {
  auto pages = OpenCountFile(files_->Open(page), format_);
  if (pages->count() != 1) {
    throw InputError(files_->Path(page) + ": holds " + std::to_string(pages->count()) +
                     " pages, but files of a series hold one each; name this file alone as "
                     "frames.source, or split it");
  }
  return pages;
}

void SeriesPages::Read(int page, cv::Mat& counts) {
  Open(page)->Read(0, counts);
  if (counts.size() != size_px_ || counts.type() != type_) {
    throw InputError(files_->Path(page) + ": is unlike the other files in size or kind of samples");
  }
}

std::vector<double> SeriesPages::WallTimes() const {
  std::vector<double> times_s;
  for (int i = 0; i < count(); ++i) {
    try {
      const std::vector<double> own = Open(i)->WallTimes();
      if (own.size() != 1) return {};
      times_s.push_back(own.front());
    } catch (const InputError&) {
      return {};
    }
  }
  return times_s;
}

std::vector<std::string> SeriesPages::PageNames() const {
  std::vector<std::string> names;
  for (int i = 0; i < count(); ++i) names.push_back(files_->Name(i));
  return names;
}

std::vector<double> SeriesPages::FileDates() const {
  std::vector<double> dates_s;
  for (int i = 0; i < count(); ++i) dates_s.push_back(files_->Date(i));
  return dates_s;
}

}  // namespace ohmglow
