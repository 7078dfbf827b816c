import { notice } from "../state/notice";
import { t } from "../words";

/** What the page has to tell, at the foot; read out as it comes. */
export const NoticeBar = () => {
  const n = notice.value;
  return (
    <div class="notices" role="status" aria-live="polite">
      {n && (
        <div class={`notice ${n.grave ? "grave" : ""}`}>
          <p>{n.text}</p>
          {n.lines.map((line) => (
            <p key={line} class="line">{line}</p>
          ))}
          <p class="acts">
            {n.act && (
              <button type="button" onClick={() => (n.act!.run(), (notice.value = null))}>{n.act.words}</button>
            )}
            <button type="button" onClick={() => (notice.value = null)}>{t("notice.close")}</button>
          </p>
        </div>
      )}
    </div>
  );
};
