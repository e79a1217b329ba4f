// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/trip.h"

#include "record/record_words.h"

namespace ohmglow::record {
namespace {

struct Form {
  const char* key;
  const char* value = "%.3g";
  const char* limit = "%.3g";
};

Form FormOf(Cause cause) {
  switch (cause) {
    case Cause::kRise:
      return {"stop.rise", "%.1f"};
    case Cause::kTemperature:
      return {"stop.temperature", "%.1f"};
    case Cause::kBeyondRange:
      return {"stop.beyond_range"};
    case Cause::kCameraSilent:
      return {"stop.camera_silent", "%.2f", "%.2f"};
    case Cause::kCameraFrozen:
      return {"stop.camera_frozen", "%.1f", "%.1f"};
    case Cause::kCameraEnded:
      return {"stop.camera_ended"};
    case Cause::kFewRestFrames:
      return {"stop.few_rest_frames", "%.0f"};
    case Cause::kBlind:
      return {"stop.blind", "%.1f", "%.0f"};
    case Cause::kCameraSlow:
      return {"stop.camera_slow", "%.1f", "%.0f"};
    case Cause::kCameraFast:
      return {"stop.camera_fast", "%.1f", "%.3g"};
    case Cause::kSupplySilent:
      return {"stop.supply_silent"};
    case Cause::kNoNumber:
      return {"stop.no_number"};
    case Cause::kSupplyLost:
      return {"stop.supply_lost"};
    case Cause::kAmpsAtZero:
      return {"stop.amps_at_zero", "%.3g", "%.2g"};
    case Cause::kVolts:
      return {"stop.volts"};
    case Cause::kAmps:
      return {"stop.amps"};
    case Cause::kAmpsBackwards:
      return {"stop.amps_backwards"};
    case Cause::kTooMuchAsked:
      return {"stop.too_much_asked"};
    case Cause::kNotObeyed:
      return {"stop.not_obeyed"};
    case Cause::kSupplyError:
      return {"stop.supply_error"};
    case Cause::kStaysOn:
      return {"stop.stays_on"};
    case Cause::kStaysOff:
      return {"stop.stays_off"};
    case Cause::kPathOpened:
      return {"stop.path_opened"};
    case Cause::kTime:
      return {"stop.time", "%.0f", "%.0f"};
    case Cause::kRecorderGone:
      return {"stop.recorder_gone"};
    case Cause::kRecorderHangs:
      return {"stop.recorder_hangs"};
    case Cause::kStoodStill:
      return {"stop.stood_still", "%.1f"};
    case Cause::kGuardianTold:
      return {"stop.guardian_told"};
    case Cause::kGuardianFailed:
      return {"stop.guardian_failed"};
    case Cause::kGuardianGone:
      return {"stop.guardian_gone"};
    case Cause::kGuardianHangs:
      return {"stop.guardian_hangs"};
    case Cause::kGuardianStays:
      return {"stop.guardian_stays"};
    case Cause::kDisk:
      return {"stop.disk"};
    case Cause::kUser:
      return {"stop.user"};
    case Cause::kCannotBeOff:
      return {"refused.cannot_be_off"};
    case Cause::kBeyondSupply:
      return {"refused.beyond_supply"};
    case Cause::kFlowsWhileOff:
      return {"refused.flows_while_off"};
    case Cause::kNeverAnswers:
      return {"refused.never_answers"};
    case Cause::kAnswersLate:
      break;
  }
  return {"refused.answers_late", "%.0f", "%.0f"};
}

}  // namespace

std::string TripText(const Trip& trip, const Words& words) {
  const Form form = FormOf(trip.cause);
  return words.Fill(form.key,
                    {{"value", NumberText(words, form.value, trip.value)},
                     {"limit", NumberText(words, form.limit, trip.limit)},
                     {"detail", trip.detail}});
}

}  // namespace ohmglow::record
